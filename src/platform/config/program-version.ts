import { readFileSync } from "node:fs";
import { join } from "node:path";
import { projectRoot } from "./project-root.js";

/** The version of this program, as package.json has it: that of the changelog, by Semantic Versioning 2.0.0. */
export function programVersion(): string {
  return (JSON.parse(readFileSync(join(projectRoot, "package.json"), "utf8")) as { version: string }).version;
}
