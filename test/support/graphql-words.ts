import { readFileSync } from "node:fs";
import { join } from "node:path";
import { buildSchema, isEnumType } from "graphql";
import { projectRoot } from "../../src/platform/config/project-root.js";

/** The schema that is promised to clients. */
export const SCHEMA = buildSchema(readFileSync(join(projectRoot, "contracts/schema.graphql"), "utf8"));

const names = new Set(
  Object.values(SCHEMA.getTypeMap()).flatMap((type) =>
    isEnumType(type) && !type.name.startsWith("__") ? type.getValues().map(({ name }) => name) : [],
  ),
);

/** What GraphQL answered with the words that REST has for the values of enumerations (`POWER_10S`, `power-10s`). */
export function inRestWords(answer: unknown): unknown {
  if (typeof answer === "string") return names.has(answer) ? answer.toLowerCase().replaceAll("_", "-") : answer;
  if (Array.isArray(answer)) return answer.map(inRestWords);
  if (typeof answer !== "object" || answer === null) return answer;
  return Object.fromEntries(Object.entries(answer).map(([key, value]) => [key, inRestWords(value)]));
}
