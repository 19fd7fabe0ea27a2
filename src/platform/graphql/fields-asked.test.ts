import { expect, it } from "@jest/globals";
import { type FragmentDefinitionNode, type GraphQLResolveInfo, Kind, parse } from "graphql";
import { fieldsAsked } from "./fields-asked.js";

const infoOf = (text: string): Pick<GraphQLResolveInfo, "fieldNodes" | "fragments"> => {
  const { definitions } = parse(text);
  const [operation] = definitions;
  if (operation?.kind !== Kind.OPERATION_DEFINITION) throw new Error("the first definition must be an operation");
  const fieldNodes = operation.selectionSet.selections.filter((selection) => selection.kind === Kind.FIELD);
  const fragments = definitions.filter((one): one is FragmentDefinitionNode => one.kind === Kind.FRAGMENT_DEFINITION);
  return { fieldNodes, fragments: Object.fromEntries(fragments.map((one) => [one.name.value, one])) };
};

it.each([
  ["plain fields", "{ runs { edges { node { id figures { key } } } } }"],
  ["an alias", "{ runs { edges { node { id numbers: figures { key } } } } }"],
  ["an inline fragment", "{ runs { edges { node { id ... on Run { figures { key } } } } } }"],
  ["a fragment", "{ runs { edges { node { id ...more } } } } fragment more on Run { figures { key } }"],
  [
    "a fragment in a fragment",
    "{ runs { ...a } } fragment a on C { edges { node { id ...b } } } fragment b on Run { figures { key } }",
  ],
  ["a directive", "query($all: Boolean!) { runs { edges { node { id figures @include(if: $all) { key } } } } }"],
  ["the same field asked for twice", "{ runs { edges { node { id } } } runs { edges { node { figures { key } } } } }"],
])("finds what is asked for by %s", (_, text) => {
  expect([...fieldsAsked(infoOf(text))].sort()).toEqual(["edges", "figures", "id", "key", "node"]);
});

it("does not find what is asked for nowhere", () => {
  const text = "{ runs { edges { node { id } } } } fragment unused on Run { figures { key } }";
  expect(fieldsAsked(infoOf(text)).has("figures")).toBe(false);
});
