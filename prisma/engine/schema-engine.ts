import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";
import { bindMigrationAwareSqlAdapterFactory } from "@prisma/driver-adapter-utils";
import * as engineBindings from "@prisma/schema-engine-wasm/schema_engine_bg";
import { type EngineAdapterOptions, withEngineAdapter } from "./engine-adapter.js";

type SchemaEngine = engineBindings.SchemaEngine;

let loading: Promise<void> | undefined;

/** The engine is WebAssembly inside a package: it needs no download and runs wherever Node runs. */
async function loadEngine(): Promise<void> {
  const entry = createRequire(import.meta.url).resolve("@prisma/schema-engine-wasm");
  const binary = await readFile(new URL("schema_engine_bg.wasm", pathToFileURL(entry)));
  const imports = Object.fromEntries(
    Object.entries(engineBindings).map(([name, item]) => [name, name.startsWith("__wbg_setTimeout_") ? watch : item]),
  );
  const { instance } = await WebAssembly.instantiate(binary, { "./schema_engine_bg.js": imports });
  engineBindings.__wbg_set_wasm(instance.exports);
  const start = instance.exports.__wbindgen_start;
  if (typeof start !== "function") throw new Error("The schema engine has no start function");
  (start as () => void)();
}

/** The engine's timer for a lock that does not come. It must not keep a program alive whose work is done. */
function watch(callback: () => void, milliseconds: number): NodeJS.Timeout {
  return setTimeout(callback, milliseconds).unref();
}

/** Runs `work` with an engine that is connected to the database at `connectionString`. */
export async function withSchemaEngine<T>(
  connectionString: string,
  options: EngineAdapterOptions,
  work: (engine: SchemaEngine) => Promise<T>,
): Promise<T> {
  loading ??= loadEngine();
  await loading;
  return withEngineAdapter(connectionString, options, async (factory) => {
    const adapter = bindMigrationAwareSqlAdapterFactory(factory);
    const engine = await engineBindings.SchemaEngine.new({ datamodels: undefined }, () => undefined, adapter);
    try {
      return await work(engine);
    } finally {
      engine.free();
    }
  });
}
