import { execFile } from "node:child_process";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { promisify } from "node:util";
import { describe, expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";

const run = promisify(execFile);

interface Violation {
  readonly from: string;
  readonly to: string;
  readonly rule: { readonly name: string };
}

async function violations(...folders: string[]): Promise<readonly Violation[]> {
  const program = join(projectRoot, "node_modules", "dependency-cruiser", "bin", "dependency-cruise.mjs");
  const args = [program, "--config", ".dependency-cruiser.mjs", "--output-type", "json", ...folders];
  const { stdout } = await run(process.execPath, args, { cwd: projectRoot, maxBuffer: 64 * 1024 * 1024 }).catch(
    // The program's exit code is the number of violations; its report is complete all the same.
    (error: { stdout: string }) => error,
  );
  return (JSON.parse(stdout) as { summary: { violations: Violation[] } }).summary.violations;
}

describe("imports", () => {
  // That the sources keep to the rules is what `npm run imports` says.
  it("are caught when they go from the platform back to a feature", async () => {
    const folder = await mkdtemp(join(projectRoot, "src", "platform", "trial-"));
    try {
      await writeFile(join(folder, "back.ts"), 'import "../../features/packs/packs.service.js";\n');
      const found = await violations(folder.slice(projectRoot.length + 1));
      expect(found.map(({ rule }) => rule.name)).toContain("platform-imports-no-feature");
    } finally {
      await rm(folder, { recursive: true });
    }
  });

  it("are caught when two files name each other's types", async () => {
    const folder = await mkdtemp(join(projectRoot, "src", "core", "trial-"));
    try {
      await writeFile(join(folder, "a.ts"), 'import type { B } from "./b.js";\nexport type A = B | null;\n');
      await writeFile(join(folder, "b.ts"), 'import type { A } from "./a.js";\nexport type B = A | 1;\n');
      const found = await violations(folder.slice(projectRoot.length + 1));
      expect(found.map(({ rule }) => rule.name)).toContain("no-circles");
    } finally {
      await rm(folder, { recursive: true });
    }
  });
});
