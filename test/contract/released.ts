import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { buildSchema, findBreakingChanges } from "graphql";
import { projectRoot } from "../../src/platform/config/project-root.js";
import type { OpenApi } from "../support/contract/contract.js";
import { breakingOpenApiChanges } from "./openapi-changes.js";

/** Both contracts, as text. */
export interface Contracts {
  readonly openApi: string;
  readonly graphql: string;
}

export function contractsIn(...folder: readonly string[]): Contracts | null {
  const at = (name: string) => join(projectRoot, "contracts", ...folder, name);
  if (!existsSync(at("openapi.json"))) return null;
  return { openApi: readFileSync(at("openapi.json"), "utf8"), graphql: readFileSync(at("schema.graphql"), "utf8") };
}

/** What a client of the first contracts can lose with the second, each by a name that a changelog can cite. */
export function breakingChanges(before: Contracts, after: Contracts): string[] {
  const rest = breakingOpenApiChanges(JSON.parse(before.openApi) as OpenApi, JSON.parse(after.openApi) as OpenApi);
  const graphql = findBreakingChanges(buildSchema(before.graphql), buildSchema(after.graphql));
  return [...rest, ...graphql.map(({ description }) => `GraphQL: ${description}`)];
}

/** Those that the changelog does not announce: each stands there word for word, in its part of what is to be released. */
export function unannounced(changes: readonly string[], changelog: string): string[] {
  const unreleased = /^## Unreleased\n(.*?)(?=^## |$(?![\s\S]))/ms.exec(changelog)?.[1] ?? "";
  const text = unreleased.replaceAll(/\s+/g, " ");
  return changes.filter((change) => !text.includes(change));
}
