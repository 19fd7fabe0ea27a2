import { afterAll, beforeAll, expect, it } from "@jest/globals";
import type { TestApp } from "../../../test/support/app.js";
import { nextFullLoad } from "../../../test/support/protocols.js";
import { type ReevaluationTest, startReevaluationTest } from "../../../test/support/reevaluation-test.js";
import { uploadCase } from "../../../test/support/uploads.js";
import { ActiveVersionService } from "../protocols/active-version.service.js";
import { StandingsService } from "../rankings/standings.service.js";
import { PreparedPacksService } from "./prepared-packs.service.js";

const NEXT = nextFullLoad(15);

let reevaluations: ReevaluationTest;
let app: TestApp;
let runs: Record<string, string>;
beforeAll(async () => {
  reevaluations = await startReevaluationTest();
  ({ app, runs } = reevaluations);
  const bert = await app.signIn("bert");
  for (const [name, pack, log] of [
    ["undecided", "Alpha", "spikes"],
    // Conforms no more by the next version, so its pack has no standing then.
    ["newcomer", "Delta", "lead-awg12"],
  ] as const) {
    const { body } = await uploadCase(app, bert, pack, log);
    runs[name] = body.id;
  }
  expect((await reevaluations.post("/v1/protocols/full-load/versions", NEXT)).statusCode).toBe(201);
});
afterAll(() => app.close());

/** What was prepared, by pack, with what changes whenever a row is written. */
const prepared = () =>
  app.database.$queryRaw<{ pack: string; written: string }[]>`
    SELECT pack.name AS pack, prepared_pack.xmin::text AS written
    FROM prepared_pack JOIN pack ON pack.id = prepared_pack.pack_id ORDER BY pack.name`;

it("decisions that are made while standings are prepared count once the version switches, and nothing is computed twice", async () => {
  const service = app.nest.get(PreparedPacksService);
  const prepare = service.prepare.bind(service);
  const seen: Awaited<ReturnType<typeof prepared>>[] = [];
  service.prepare = async (...of) => {
    service.prepare = prepare;
    expect(await prepare(...of)).toBe(true);
    seen.push(await prepared());
    // As after a kill: it goes on with what is there.
    expect(await prepare(...of)).toBe(true);
    seen.push(await prepared());
    expect((await reevaluations.decide("undecided", "accept")).statusCode).toBe(201);
    expect((await reevaluations.decide("newcomer", "accept")).statusCode).toBe(201);
    const withdrawn = await app.inject({
      method: "DELETE",
      url: `/v1/runs/${runs.Gamma}`,
      headers: reevaluations.anna,
    });
    expect(withdrawn.statusCode).toBe(204);
    seen.push(await prepared());
    return true;
  };
  const { ended } = await reevaluations.reevaluate({ protocolVersion: NEXT.version });
  expect(ended).toMatchObject({ state: "finished", failed: 0 });
  const [first, again, afterwards] = seen;
  expect(first?.map(({ pack }) => pack)).toEqual(["Alpha", "Beta", "Gamma"]);
  expect(again).toEqual(first);
  expect(afterwards).toEqual(first?.filter(({ pack }) => pack === "Beta"));
  expect(await prepared()).toEqual([]);
  const shown = (await reevaluations.ranking()).map(({ pack, runs: count, protocolVersion }) => [
    pack.name,
    count,
    protocolVersion,
  ]);
  expect(shown).toEqual([["Alpha", 2, NEXT.version]]);
  expect(await app.database.run.findUnique({ where: { id: runs.newcomer ?? "" } })).toMatchObject({
    review: "pending",
  });
  const active = await app.nest.get(ActiveVersionService).find("full-load");
  if (!active) throw new Error("full-load has no active version");
  const full = await app.database.$transaction((tx) => app.nest.get(StandingsService).computeAll(tx, active));
  const stored = await app.database.standing.findMany({ where: { protocolKey: "full-load" } });
  const plain = (some: readonly object[]) =>
    some.map((one) => JSON.stringify({ ...one, updatedAt: undefined }, Object.keys({ ...stored[0] }).sort())).sort();
  expect(plain(stored)).toEqual(plain(full.standings));
  expect(await app.database.testerResult.count()).toBe(full.results.length);
});
