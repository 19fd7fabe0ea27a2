import { execFile } from "node:child_process";
import { join } from "node:path";
import { projectRoot } from "../../src/platform/config/project-root.js";

/** What a command of the shell has left. */
export interface Ended {
  readonly code: number;
  readonly stdout: string;
  readonly stderr: string;
}

/** Runs the built command as `npx packledger` does. */
export function packledger(
  args: readonly string[],
  environment: Readonly<Record<string, string>> = {},
  folder = projectRoot,
): Promise<Ended> {
  const env = { ...process.env, ...environment };
  return new Promise((resolve) => {
    const cli = join(projectRoot, "dist", "src", "cli.js");
    const child = execFile(process.execPath, [cli, ...args], { env, cwd: folder }, (_, stdout, stderr) =>
      resolve({ code: child.exitCode ?? -1, stdout, stderr }),
    );
  });
}
