import { readFile } from "node:fs/promises";
import { join } from "node:path";
import openapiTS, { astToString, type OpenAPI3 } from "openapi-typescript";
import { projectRoot } from "../../../src/platform/config/project-root.js";
import { CompiledApp } from "../compiled-app.js";

/** An app of its own folder, with a client of the addresses that are promised to clients. */
export async function generateRestApp(): Promise<CompiledApp> {
  const app = await CompiledApp.copy(join(import.meta.dirname, "app"));
  const contract = JSON.parse(await readFile(join(projectRoot, "contracts/openapi.json"), "utf8")) as OpenAPI3;
  await app.write("generated/contract.d.ts", astToString(await openapiTS(contract)));
  return app;
}
