import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "@jest/globals";
import { type ObjectTypeDefinitionNode, parse, print, visit } from "graphql";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { breakingChanges, type Contracts, contractsIn, unannounced } from "./released.js";

const now = contractsIn() as Contracts;

it("breaks nothing of the last released contracts that the changelog does not announce", () => {
  const last = contractsIn("released") as Contracts;
  const changelog = readFileSync(join(projectRoot, "CHANGELOG.md"), "utf8");
  expect(unannounced(breakingChanges(last, now), changelog)).toEqual([]);
});

// biome-ignore lint/suspicious/noExplicitAny: a mutation reaches anywhere into the document
type Mutation = (document: any) => void;

function changed(mutate: Mutation): string[] {
  const document = JSON.parse(now.openApi);
  mutate(document);
  return breakingChanges(now, { ...now, openApi: JSON.stringify(document) });
}

/** What is told of a change the other way about: the changed contract came first. */
function changedBack(mutate: Mutation): string[] {
  const document = JSON.parse(now.openApi);
  mutate(document);
  return breakingChanges({ ...now, openApi: JSON.stringify(document) }, now);
}

describe("a change of the REST contract", () => {
  it.each<[string, Mutation, string]>([
    ["a path that went", ({ paths }) => delete paths["/v1/packs/{id}"], "getPack: removed"],
    ["an operation that went", ({ paths }) => delete paths["/v1/packs"].post, "registerPack: removed"],
    ["another name", ({ paths }) => (paths["/v1/packs"].get.operationId = "packs"), "listPacks: is called packs"],
    [
      "a session that is needed",
      ({ paths }) => (paths["/v1/packs"].get.security = [{ bearer: [] }]),
      "listPacks: needs a session",
    ],
    [
      "a parameter that went",
      ({ paths }) => paths["/v1/packs"].get.parameters.shift(),
      "listPacks: parameter query first removed",
    ],
    [
      "a smaller page",
      ({ paths }) => (paths["/v1/packs"].get.parameters[0].schema.maximum = 50),
      "listPacks: parameter query first maximum tightened",
    ],
    [
      "a status that went",
      ({ paths }) => delete paths["/v1/runs"].post.responses["202"],
      "uploadRun: status 202 removed",
    ],
    [
      "a media type that went",
      ({ paths }) => delete paths["/v1/runs/{id}/trace"].get.responses["200"].content["text/csv"],
      "getRunTrace: 200 text/csv removed",
    ],
    [
      "a member of an answer that went",
      ({ components }) => delete components.schemas.PackView.properties.series,
      "getPack: 200/series removed",
    ],
    [
      "a member of an answer that may be left out",
      ({ components }) =>
        components.schemas.PackView.required.splice(components.schemas.PackView.required.indexOf("series"), 1),
      "getPack: 200/series may be left out",
    ],
    [
      "a member of an answer that may be null",
      ({ components }) => (components.schemas.PackView.properties.series.type = ["integer", "null"]),
      "getPack: 200/series of another type",
    ],
    [
      "a member of an input that went",
      ({ components }) => delete components.schemas.PackInput.properties.massGrams,
      "registerPack: body/massGrams removed",
    ],
    [
      "a member of an input that is required",
      ({ components }) => components.schemas.PackInput.required.push("massGrams"),
      "registerPack: body/massGrams required",
    ],
    [
      "a value of an input that went",
      ({ components }) => components.schemas.PackInput.properties.chemistry.enum.shift(),
      "registerPack: body/chemistry value lipo removed",
    ],
  ])("%s is told", (_, mutate, told) => {
    expect(changed(mutate)).toContain(told);
  });

  it("that only adds breaks nothing: a path, a parameter, a member of an answer, an optional member of an input, a value", () => {
    const add: Mutation = ({ paths, components }) => {
      paths["/v1/news"] = paths["/v1/packs"];
      paths["/v1/packs"].get.parameters.push({ name: "maker", in: "query", schema: { type: "string" } });
      components.schemas.PackView.properties.colour = { type: "string" };
      components.schemas.PackInput.properties.colour = { type: "string" };
      components.schemas.PackInput.properties.chemistry.enum.push("other");
    };
    expect(changed(add)).toEqual([]);
    expect(changedBack(add)).toEqual(
      expect.arrayContaining(["getPack: 200/colour removed", "registerPack: body/colour removed"]),
    );
  });

  it("is none where nothing changed", () => {
    expect(breakingChanges(now, now)).toEqual([]);
  });
});

it("tells a field of the GraphQL contract that went", () => {
  const withoutSeries = (type: ObjectTypeDefinitionNode) =>
    type.name.value === "Pack" ? { ...type, fields: type.fields?.filter(({ name }) => name.value !== "series") } : type;
  const graphql = print(visit(parse(now.graphql), { ObjectTypeDefinition: withoutSeries }));
  expect(breakingChanges(now, { ...now, graphql })).toContain("GraphQL: Pack.series was removed.");
});

describe("the changelog", () => {
  const changes = ["getPack: 200/series removed", "listPacks: removed"];

  it("announces what stands in the part of what is to be released, however it is wrapped", () => {
    const text =
      "# Changelog\n\n## Unreleased\n\n- Breaking: getPack: 200/series\n  removed\n\n## 0.1.0\n\n- listPacks: removed\n";
    expect(unannounced(changes, text)).toEqual(["listPacks: removed"]);
  });

  it("announces nothing by saying nothing", () => {
    expect(unannounced(changes, "# Changelog\n\n## Unreleased\n")).toEqual(changes);
  });
});
