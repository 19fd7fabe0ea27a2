import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "@jest/globals";
import { Ajv2020 } from "ajv/dist/2020.js";
import addFormats from "ajv-formats";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { Contract } from "../support/contract/contract.js";

const contract = Contract.read();
const source = readFileSync(join(projectRoot, "contracts", "openapi.json"), "utf8");

function resolve(reference: string): unknown {
  const parts = reference.replace(/^#\//, "").split("/");
  return parts.reduce<unknown>((value, part) => {
    const name = part.replaceAll("~1", "/").replaceAll("~0", "~");
    return typeof value === "object" && value !== null ? (value as Record<string, unknown>)[name] : undefined;
  }, contract.openApi);
}

it("has no reference that leads nowhere", () => {
  const references = [...source.matchAll(/"\$ref": "([^"]*)"/g)].map(([, reference = ""]) => reference);
  expect(references.length).toBeGreaterThan(1_000);
  expect(references.filter((reference) => resolve(reference) === undefined)).toEqual([]);
});

it("has schemas that are JSON Schema 2020-12 and can be compiled", () => {
  const ajv = addFormats.default(new Ajv2020({ strict: false, validateSchema: true }));
  ajv.addSchema({ $id: "openapi", ...contract.openApi }, "openapi", undefined, false);
  for (const [name, schema] of Object.entries(contract.openApi.components.schemas)) {
    expect([name, ajv.validateSchema(schema)]).toEqual([name, true]);
    expect(() => ajv.compile({ $ref: `openapi#/components/schemas/${name}` })).not.toThrow();
  }
});

it("has examples of problems that fit their schema", () => {
  const { responses, schemas } = contract.openApi.components;
  const examples = Object.values(responses).map(({ content }) => content?.["application/problem+json"]?.example);
  examples.push((schemas.Problem as { example: unknown }).example);
  expect(examples.length).toBeGreaterThan(10);
  for (const example of examples) expect(contract.faultsOf(example, "components", "schemas", "Problem")).toEqual([]);
});

it("names each operation as a method of a client, by a name of its own", () => {
  const names = contract.operations.map(({ operation }) => operation.operationId);
  expect(names.filter((name) => !/^[a-z]+([A-Z][a-z]+)+$/.test(name))).toEqual([]);
  expect(new Set(names).size).toBe(names.length);
});

it("puts each operation under a tag that is described", () => {
  const { tags } = JSON.parse(source) as { tags: { name: string; description: string }[] };
  const described = new Set(tags.filter(({ description }) => description).map(({ name }) => name));
  for (const { operation } of contract.operations) {
    expect([operation.operationId, operation.tags?.every((tag) => described.has(tag))]).toEqual([
      operation.operationId,
      true,
    ]);
  }
});
