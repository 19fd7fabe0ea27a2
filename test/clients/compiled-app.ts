import { execFile } from "node:child_process";
import { cp, mkdir, mkdtemp, readFile, rm, symlink, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { promisify } from "node:util";
import { projectRoot } from "../../src/platform/config/project-root.js";

const run = promisify(execFile);

const COMPILER_OPTIONS = {
  target: "ES2023",
  lib: ["ES2024"],
  module: "NodeNext",
  outDir: "out",
  strict: true,
  noUncheckedIndexedAccess: true,
  noImplicitOverride: true,
  noUnusedLocals: true,
  verbatimModuleSyntax: false,
  skipLibCheck: true,
  types: ["node"],
};

/** An app in a folder of its own, to which files that are generated from a contract are added before it is compiled. */
export class CompiledApp {
  private constructor(readonly folder: string) {}

  /** A copy of the app in a folder. */
  static async copy(source: string): Promise<CompiledApp> {
    const folder = await mkdtemp(join(tmpdir(), "generated-client-"));
    await cp(source, folder, { recursive: true });
    await symlink(join(projectRoot, "node_modules"), join(folder, "node_modules"));
    await writeFile(join(folder, "package.json"), JSON.stringify({ type: "module", private: true }));
    await writeFile(join(folder, "tsconfig.json"), JSON.stringify({ compilerOptions: COMPILER_OPTIONS }));
    return new CompiledApp(folder);
  }

  async write(name: string, text: string): Promise<void> {
    const file = join(this.folder, name);
    await mkdir(dirname(file), { recursive: true });
    await writeFile(file, text);
  }

  /** Writes another app beside it, which differs in some texts. */
  async vary(name: string, changes: readonly (readonly [from: string, to: string])[]): Promise<void> {
    const text = await readFile(join(this.folder, "app.ts"), "utf8");
    for (const [from] of changes) if (!text.includes(from)) throw new Error(`the app does not say ${from}`);
    await this.write(
      name,
      changes.reduce((made, [from, to]) => made.replace(from, to), text),
    );
  }

  /** What the compiler complains of, once for everything in the folder: of one file, and of all others. */
  async compile(file: string): Promise<{ readonly ofFile: string; readonly others: string }> {
    const complaints = (await this.complaints()).split(/\n(?=\S)/);
    const isOfFile = (complaint: string) => complaint.replace(/\(.*/s, "").endsWith(file);
    return {
      ofFile: complaints.filter(isOfFile).join("\n"),
      others: complaints.filter((complaint) => !isOfFile(complaint)).join("\n"),
    };
  }

  private async complaints(): Promise<string> {
    try {
      await run(process.execPath, [join(projectRoot, "node_modules/typescript/bin/tsc"), "-p", this.folder]);
      return "";
    } catch (error) {
      return (error as { stdout: string }).stdout;
    }
  }

  /** Runs the app; what it printed. */
  async run(...args: string[]): Promise<unknown> {
    const { stdout } = await run(process.execPath, [join(this.folder, "out/app.js"), ...args]);
    return JSON.parse(stdout);
  }

  async remove(): Promise<void> {
    await rm(this.folder, { recursive: true });
  }
}
