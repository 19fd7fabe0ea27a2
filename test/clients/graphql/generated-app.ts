import { execFile } from "node:child_process";
import { cp, mkdir, mkdtemp, rm, symlink, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { promisify } from "node:util";
import { generate } from "@graphql-codegen/cli";
import { projectRoot } from "../../../src/platform/config/project-root.js";

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

/** An app of its own folder, with a client that is generated from the schema which is promised to clients. */
export class GeneratedApp {
  private constructor(readonly folder: string) {}

  static async generate(): Promise<GeneratedApp> {
    const folder = await mkdtemp(join(tmpdir(), "graphql-client-"));
    await cp(join(import.meta.dirname, "app"), folder, { recursive: true });
    await symlink(join(projectRoot, "node_modules"), join(folder, "node_modules"));
    const files = await generate(
      {
        schema: join(projectRoot, "contracts/schema.graphql"),
        documents: join(folder, "app.ts"),
        silent: true,
        errorsOnly: true,
        generates: {
          [`${folder}/generated/`]: {
            preset: "client",
            presetConfig: { fragmentMasking: false },
            config: {
              documentMode: "string",
              enumType: "native",
              importExtension: ".js",
              useTypeImports: true,
              strictScalars: true,
              scalars: { DateTime: "string", JsonObject: "Record<string, unknown>" },
            },
          },
        },
      },
      false,
    );
    for (const { filename, content } of files) {
      await mkdir(dirname(filename), { recursive: true });
      await writeFile(filename, content);
    }
    await writeFile(join(folder, "package.json"), JSON.stringify({ type: "module", private: true }));
    await writeFile(join(folder, "tsconfig.json"), JSON.stringify({ compilerOptions: COMPILER_OPTIONS }));
    return new GeneratedApp(folder);
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
