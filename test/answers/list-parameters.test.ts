import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../support/app.js";
import { Contract } from "../support/contract/contract.js";
import { uploadCase } from "../support/uploads.js";

interface ListParameter {
  readonly name: string;
  readonly in: string;
  readonly style?: string;
  readonly explode?: boolean;
  readonly description?: string;
  readonly schema: { readonly type?: unknown; readonly items?: { readonly enum?: readonly unknown[] } };
}

const isList = ({ in: place, schema }: ListParameter) => place === "query" && [schema.type].flat().includes("array");

const lists = Contract.read().operations.flatMap(({ path, method, operation }) =>
  ((operation.parameters ?? []) as unknown as ListParameter[])
    .filter(isList)
    .map((parameter) => ({ path, method, parameter })),
);

let app: TestApp;
let headers: { authorization: string };
let ids: Record<"pack" | "run" | "specimen", string[]>;
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna", "moderator");
  const carl = await app.signIn("carl");
  const first = await uploadCase(app, carl, "First", "truth-4s-10hz");
  const second = await uploadCase(app, carl, "Second", "plain-20hz");
  const runs = [first.body, second.body];
  const payload = { decision: "accept", rules: [], note: "in order" };
  for (const { id } of runs) {
    const { statusCode } = await app.inject({ method: "POST", url: `/v1/runs/${id}/reviews`, headers, payload });
    expect(statusCode).toBeLessThan(300);
  }
  ids = {
    pack: runs.map(({ pack }) => pack.id),
    run: runs.map(({ id }) => id),
    specimen: runs.map(({ specimen }) => (specimen as { id: string }).id),
  };
});
afterAll(() => app.close());

/** Two values of a list, by its name and its schema. */
function valuesOf({ name, schema }: ListParameter): readonly string[] {
  const [one, two] = schema.items?.enum ?? [];
  if (two !== undefined) return [String(one), String(two)];
  const known: Record<string, readonly string[]> = {
    packs: ids.pack,
    runs: ids.run,
    specimens: ids.specimen,
    ladders: ids.specimen,
    at: ["5", "10"],
    span: ["2..5", "5..10"],
    series: ["4", "6"],
    maker: ["A maker", "Another"],
    connector: ["XT60", "XT90"],
  };
  const values = known[name];
  if (!values) throw new Error(`no values are known for ${name}`);
  return values;
}

/** An address with a list, written as it is, beside what the operation needs. */
function addressOf(path: string, name: string, list: string): string {
  const known: Record<string, string> = { id: ids.run[0] ?? "", figure: "power-10s" };
  if (path.startsWith("/v1/packs/")) known.id = ids.pack[0] ?? "";
  const needed = path.includes("comparisons") && ["show", "at", "span"].includes(name) ? `runs=${ids.run}&` : "";
  return `${path.replaceAll(/\{(\w+)\}/g, (_, one: string) => known[one] ?? "")}?${needed}${list}`;
}

describe("a list in the query of an address", () => {
  it("is known where the contract has texts with commas between", () => {
    const texts = Contract.read().operations.flatMap(({ path, operation }) =>
      ((operation.parameters ?? []) as unknown as ListParameter[])
        .filter((parameter) => !isList(parameter) && /comma/.test(parameter.description ?? ""))
        .map(({ name }) => `${path} ${name}`),
    );
    expect(texts).toEqual([]);
    const names = new Set(lists.map(({ parameter }) => parameter.name));
    expect([...names].sort()).toEqual(
      [
        "at",
        "channels",
        "chemistry",
        "connector",
        "fields",
        "ladders",
        "maker",
        "packs",
        "runs",
        "series",
        "show",
      ].concat(["span", "specimens"]),
    );
  });

  // OpenAPI 3.1, 4.8.12.3: with `explode: false` the style `form` puts commas between the values.
  it("is declared as values between commas, of which the description says that they may be repeated", () => {
    for (const { parameter } of lists) {
      expect(parameter).toMatchObject({ style: "form", explode: false });
      expect(parameter.description).toMatch(/; several between commas or repeated$/);
    }
  });

  it("is the same between commas, encoded or not, and repeated", async () => {
    for (const { path, parameter } of lists) {
      const { name } = parameter;
      const values = valuesOf(parameter);
      const forms = [
        `${name}=${values.join(",")}`,
        `${name}=${values.map(encodeURIComponent).join("%2C")}`,
        values.map((value) => `${name}=${encodeURIComponent(value)}`).join("&"),
      ];
      const answers: unknown[] = [];
      for (const form of forms) {
        const url = addressOf(path, name, form.replaceAll(" ", "%20"));
        const { statusCode, body } = await app.inject({ url, headers });
        // A picture shows the address that it was asked for under.
        answers.push([statusCode, /\.(png|svg)$/.test(path) ? "drawn" : bodyWithoutPlace(body)]);
      }
      const about = `${path} ${name}`;
      expect([about, answers[1]]).toEqual([about, answers[0]]);
      expect([about, answers[2]]).toEqual([about, answers[0]]);
      const isRefusedBySubject = name === "ladders" || path.startsWith("/v1/energy-against-power");
      expect([about, (answers[0] as unknown[])[0]]).toEqual([about, isRefusedBySubject ? expect.any(Number) : 200]);
    }
  });

  it("names a value that is none of those that there are, in either form", async () => {
    const closed = lists.filter(({ parameter }) => parameter.schema.items?.enum);
    expect(closed.length).toBeGreaterThan(5);
    for (const { path, parameter } of closed) {
      const { name } = parameter;
      const [one] = valuesOf(parameter);
      for (const form of [`${name}=${one},none`, `${name}=${one}&${name}=none`]) {
        const { statusCode, body } = await app.inject({ url: addressOf(path, name, form), headers });
        expect([path, form, statusCode]).toEqual([path, form, 422]);
        expect(JSON.parse(body).errors).toMatchObject([{ pointer: `/${name}` }]);
      }
    }
  });
});

/** Tables, pictures and problems name the address or the occurrence that was asked for. */
function bodyWithoutPlace(body: string): string {
  return body.replaceAll(/urn:uuid:[0-9a-f-]+/g, "").replaceAll(/https?:\/\/[^\s"<)]*/g, "");
}
