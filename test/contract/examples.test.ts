import { expect, it } from "@jest/globals";
import { Contract } from "../support/contract/contract.js";

const contract = Contract.read();

/** Bytes of an archive or a picture are not shown; what it holds is said in its description. */
const isShown = (type: string) => type !== "application/zip" && !type.startsWith("image/");

/** Every body of a successful answer and of a request: where it stands, and its example. */
const bodies = contract.operations.flatMap((found) => {
  const { path, method, operation } = found;
  const successes = Object.keys(operation.responses).filter((status) => status.startsWith("2"));
  const places = [
    ...successes.map((status) => ({
      place: ["responses", status],
      content: contract.responseOf(found, Number(status))?.content,
    })),
    { place: ["requestBody"], content: operation.requestBody?.content },
  ];
  return places.flatMap(({ place, content = {} }) =>
    Object.entries(content)
      .filter(([type]) => isShown(type))
      .map(([type, { example }]) => {
        const at = ["paths", path, method, ...place, "content", type];
        return { name: `${operation.operationId} ${place.join(" ")} ${type}`, type, at, example };
      }),
  );
});

it("shows an example of every body that an operation takes or answers with", () => {
  expect(bodies.length).toBeGreaterThan(80);
  expect(bodies.filter(({ example }) => example === undefined).map(({ name }) => name)).toEqual([]);
});

it("has no example that its schema refuses, nor one with a member that it does not declare (JSON Schema 2020-12, by Ajv)", () => {
  const isChecked = ({ type, example }: (typeof bodies)[number]) => example !== undefined && type !== "*/*";
  const faults = bodies.filter(isChecked).flatMap(({ name, at, example }) => {
    return contract.faultsOf(example, ...at, "schema").map((fault) => `${name}: ${fault}`);
  });
  expect(faults).toEqual([]);
});

it("notices an example that does not fit", () => {
  const pack = ["paths", "/v1/packs/{id}", "get", "responses", "200", "content", "application/json", "schema"] as const;
  const fitting = bodies.find(({ name }) => name === "getPack responses 200 application/json")?.example as object;
  expect(contract.faultsOf(fitting, ...pack)).toEqual([]);
  expect(contract.faultsOf({ ...fitting, series: "four" }, ...pack)).toEqual([expect.stringContaining("/series")]);
  expect(contract.faultsOf({ ...fitting, colour: "red" }, ...pack)).toEqual([expect.stringContaining("colour")]);
});
