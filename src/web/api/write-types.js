import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import openapi, { astToString } from "openapi-typescript";

/** Run by the build: the types of the public API from its contract, where that has changed since the last time. */
const CONTRACT = new URL("../../../contracts/openapi.json", import.meta.url);
const TYPES = new URL("../../generated/public-api.ts", import.meta.url);

const contract = readFileSync(CONTRACT, "utf8");
const heading = `// Made from the contract ${createHash("sha256").update(contract).digest("hex")}\n`;
if (!existsSync(TYPES) || !readFileSync(TYPES, "utf8").startsWith(heading)) {
  mkdirSync(new URL(".", TYPES), { recursive: true });
  writeFileSync(TYPES, heading + astToString(await openapi(JSON.parse(contract))));
}
