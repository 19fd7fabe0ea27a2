import { execFile } from "node:child_process";
import { cp, mkdir, mkdtemp, rm, symlink, writeFile } from "node:fs/promises";
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

  /** What the compiler complains of, or nothing. */
  async compile(): Promise<string> {
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
