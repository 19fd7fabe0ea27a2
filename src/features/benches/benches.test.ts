import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { inRestWords } from "../../../test/support/graphql-words.js";

const bench = {
  label: "Garage",
  load: { kind: "constant-resistance" },
  voltage: { percent: 0.5, offset: 0.02 },
  current: { percent: 1, offset: 0.1 },
  temperature: { offset: 1.5 },
  clockPercent: 0.05,
  sense: { point: "lead", resistanceMilliohm: null, gaugeAwg: 12, lengthMm: 150 },
};

let app: TestApp;
let headers: { authorization: string };
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
});
afterAll(() => app.close());

function register(payload: object) {
  return app.inject({ method: "POST", url: "/v1/benches", payload, headers });
}

async function pointersOf(payload: object): Promise<(string | undefined)[]> {
  const answer = await register(payload);
  expect(answer.statusCode).toBe(422);
  return answer.json<{ errors: { pointer?: string }[] }>().errors.map(({ pointer }) => pointer);
}

describe("benches", () => {
  it("give back what was registered, alike in both APIs", async () => {
    const created = (await register(bench)).json<{ id: string }>();
    expect(created).toEqual({ id: expect.any(String), ...bench });
    const fields = `id label load { kind } voltage { percent offset } current { percent offset } temperature { offset } clockPercent
      sense { point resistanceMilliohm gaugeAwg lengthMm }`;
    const query = `query($id: ID!) { bench(id: $id) { ${fields} } }`;
    const answer = await app.graphql(query, { variables: { id: created.id }, headers });
    expect(inRestWords(answer.body.data)).toEqual({ bench: created });
  });

  it("may log no temperature", async () => {
    const { temperature, ...rest } = bench;
    expect((await register({ ...rest, label: "Cold" })).json()).toMatchObject({ temperature: null });
  });

  it("must make known the resistance of leads that the voltage is sensed past", async () => {
    expect(await pointersOf({ ...bench, label: "Leads", sense: { point: "lead", gaugeAwg: 12 } })).toEqual(["/sense"]);
    expect(
      (await register({ ...bench, label: "Leads", sense: { point: "lead", resistanceMilliohm: 2 } })).statusCode,
    ).toBe(201);
  });

  it("point at a fault inside a part", async () => {
    const faulty = { ...bench, voltage: { percent: 101, offset: 0, drift: 1 }, current: [], sense: "pack" };
    expect((await pointersOf(faulty)).sort()).toEqual(["/current", "/sense", "/voltage/drift", "/voltage/percent"]);
  });
});
