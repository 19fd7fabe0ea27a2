import { afterAll, beforeAll, expect, it } from "@jest/globals";
import type { OpenAPIObject } from "@nestjs/swagger";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { productOf } from "../../../test/support/facts.js";
import { describeApi } from "../http/open-api/open-api.js";

let app: TestApp;
let headers: { authorization: string };
let packId: string;
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("ruler", "administrator");
  for (const name of ["Alpha", "Beta", "Gamma"]) {
    const answer = await app.inject({ method: "POST", url: "/v1/packs", payload: productOf(name), headers });
    packId = answer.json<{ id: string }>().id;
  }
});
afterAll(() => app.close());

const VALUES: Readonly<Record<string, string>> = { figure: "capacity", key: "full-load", version: "1" };

function addressesOfLists(): string[] {
  const { paths } = describeApi(app.nest) as OpenAPIObject;
  const lists = Object.entries(paths).filter(([, { get }]) =>
    get?.parameters?.some((parameter) => "name" in parameter && parameter.name === "after"),
  );
  const ofPack = (path: string) => path.replace("/packs/{id}", `/packs/${packId}`);
  return lists.map(([path]) => ofPack(path).replace(/\{(\w+)\}/g, (_, name: string) => VALUES[name] ?? name));
}

async function cursorOf(address: string): Promise<string> {
  const answer = await app.inject({ url: `${address}${address.includes("?") ? "&" : "?"}first=1`, headers });
  return answer.json<{ pageInfo: { endCursor: string } }>().pageInfo.endCursor;
}

async function outcome(address: string): Promise<unknown[]> {
  const answer = await app.inject({ url: address, headers });
  const { type, errors } = answer.json<{ type?: string; errors?: { pointer: string }[] }>();
  return [answer.statusCode, type, errors?.[0]?.pointer];
}

const REFUSED = [400, "/problems/invalid-cursor", "/after"];

it("takes at every list its own cursors alone", async () => {
  const lists = addressesOfLists();
  expect(lists.length).toBeGreaterThan(10);
  const givers = ["/v1/packs", "/v1/protocols", "/v1/protocols/full-load/versions/1/rules", "/v1/sessions"];
  for (const giver of givers) {
    const cursor = await cursorOf(giver);
    for (const address of lists) {
      const expected = address === giver ? [200, undefined, undefined] : REFUSED;
      expect([giver, address, await outcome(`${address}?after=${cursor}`)]).toEqual([giver, address, expected]);
    }
  }
});

it("refuses a cursor of the same list when what narrows it has changed", async () => {
  const cursor = await cursorOf("/v1/packs?series=4");
  expect((await outcome(`/v1/packs?series=4&after=${cursor}`))[0]).toBe(200);
  expect((await outcome(`/v1/packs?series=4&first=2&after=${cursor}`))[0]).toBe(200);
  expect(await outcome(`/v1/packs?after=${cursor}`)).toEqual(REFUSED);
  expect(await outcome(`/v1/packs?series=4&chemistry=lipo&after=${cursor}`)).toEqual(REFUSED);
  const rules = await cursorOf("/v1/protocols/full-load/versions/1/rules");
  expect(await outcome(`/v1/protocols/two-pulse/versions/1/rules?after=${rules}`)).toEqual(REFUSED);
});

it("refuses a cursor of somebody else's list", async () => {
  const other = await app.signIn("other");
  const cursor = await cursorOf("/v1/sessions");
  const answer = await app.inject({ url: `/v1/sessions?after=${cursor}`, headers: other });
  expect([answer.statusCode, answer.json<{ type: string }>().type]).toEqual(REFUSED.slice(0, 2));
});
