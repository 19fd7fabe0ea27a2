import { afterEach, beforeEach, describe, expect, it } from "@jest/globals";
import { parse } from "csv-parse/sync";
import type { PackStandingView } from "../../src/features/rankings/pack-standing.views.js";
import type { EvidenceSummaryView } from "../../src/features/reviews/evidence/summary.views.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { untilScored } from "../support/until-scored.js";
import { logCase, postForm, register, uploadCase } from "../support/uploads.js";
import { until } from "../support/webhook-receiver.js";

type Headers = { authorization: string };
type QueuedRun = { id: string; risk: { withdrawnTries: number } | null };
type Method = "GET" | "POST" | "PATCH" | "DELETE";

let app: TestApp;
let anna: Headers;
let bert: Headers;
let mona: Headers;
// A record of its own for each: one measurement counts once in the whole of it.
beforeEach(async () => {
  app = await startTestApp();
  anna = await app.signIn("anna");
  bert = await app.signIn("bert");
  mona = await app.signIn("mona", "moderator");
});
afterEach(() => app.close());

const ask = (method: Method, url: string, headers: Headers, payload?: object) =>
  app.inject({ method, url, headers, ...(payload ? { payload } : {}) });
const decide = (runId: string, decision: string) =>
  ask("POST", `/v1/runs/${runId}/reviews`, mona, { decision, rules: [], note: "Looked at." });
const accept = async (runId: string) => expect((await decide(runId, "accept")).statusCode).toBe(201);
const withdraw = async (runId: string) => expect((await ask("DELETE", `/v1/runs/${runId}`, anna)).statusCode).toBe(204);
const excuse = async (runId: string) =>
  expect((await ask("POST", `/v1/runs/${runId}/withdrawal-excuse`, mona, { note: "A loose lead." })).statusCode).toBe(
    200,
  );

/** A conforming run of a pack by the log of a case, whichever pack that was made for. */
async function uploaded(headers: Headers, pack: string, name: string, log?: Uint8Array<ArrayBuffer>) {
  const { body } = await uploadCase(app, headers, pack, name, log);
  expect([name, body.conformance.verdict]).not.toEqual([name, "nonconforming"]);
  return { id: body.id, packId: body.pack.id };
}

const viewOf = async (packId: string) =>
  (await app.inject({ url: `/v1/rankings/power-10s/packs/${packId}` })).json<PackStandingView>();

/** What counts of anna's runs of a pack; the view's value is hers while nobody else has tested it. */
async function counted(packId: string) {
  const { value, agreement } = await viewOf(packId);
  const [own] = agreement.testers;
  expect(own?.value).toBeCloseTo(value, 9);
  return { runs: own?.runIds, withdrawn: own?.withdrawnRunIds, value };
}

describe("a run that was withdrawn when its figures had been seen", () => {
  it("stands behind the value as withdrawn, in every form", async () => {
    const [good, bad] = [await uploaded(anna, "Kite", "plain-20hz"), await uploaded(anna, "Kite", "truth-4s-10hz")];
    for (const { id } of [good, bad]) await accept(id);
    const before = await counted(good.packId);
    expect(before).toMatchObject({ runs: [good.id, bad.id], withdrawn: [] });
    await withdraw(bad.id);
    expect(await counted(good.packId)).toEqual({ runs: [good.id], withdrawn: [bad.id], value: before.value });
    const inForm = async (form: string) =>
      (await app.inject({ url: `/v1/rankings/power-10s/packs/${good.packId}.${form}` })).body;
    const [row]: Record<string, string>[] = parse(await inForm("csv"), { columns: true });
    expect(row).toMatchObject({ tester: "anna", runs: "1", "withdrawn runs": "1" });
    for (const form of ["md", "svg"]) expect(await inForm(form)).toContain("1 withdrawn");
    await excuse(bad.id);
    expect(await counted(good.packId)).toMatchObject({ runs: [good.id], withdrawn: [] });
  });

  it("counts for one tester: nobody else's copy of it is accepted before a moderator accepts the cause", async () => {
    const [first, second] = [await uploaded(anna, "Egret", "spikes"), await uploaded(anna, "Egret", "truth-4s-10hz")];
    for (const { id } of [first, second]) await accept(id);
    await withdraw(second.id);
    const { log } = logCase("truth-4s-10hz");
    const same = await uploaded(bert, "Egret", "truth-4s-10hz", log);
    const altered = await uploaded(bert, "Egret", "truth-4s-10hz", Uint8Array.from([...log, 10]));
    expect((await decide(same.id, "accept")).json()).toMatchObject({ status: 409 });
    expect((await decide(altered.id, "accept")).json()).toMatchObject({ code: "copy-undecided" });
    await decide(altered.id, "reject");
    expect((await viewOf(first.packId)).agreement.testers).toHaveLength(1);
    await excuse(second.id);
    await accept(same.id);
    expect((await viewOf(first.packId)).agreement.testers).toHaveLength(2);
  });

  it("stays in the mean whatever else its log is uploaded as, and leaves it for the same log accepted in its place", async () => {
    const [good, bad] = [
      await uploaded(anna, "Heron", "plain-20hz"),
      await uploaded(anna, "Heron", "removed-at-cutoff"),
    ];
    await accept(good.id);
    await withdraw(bad.id);
    const stays = { runs: [good.id], withdrawn: [bad.id] };
    expect(await counted(good.packId)).toMatchObject(stays);
    const found = logCase("removed-at-cutoff");
    const { packId: _, ...ids } = await register(app, anna, "Heron", found);
    const pulses = { protocol: "two-pulse", ...ids, ...found.conditions, stateOfChargePercent: 100 };
    const asPulses = await postForm(`${app.url}/v1/runs`, pulses, found.log, { headers: anna });
    expect(asPulses.status).toBe(201);
    const elsewhere = await uploaded(anna, "Lapwing", "removed-at-cutoff");
    expect(await counted(good.packId)).toMatchObject(stays);
    for (const id of [asPulses.body.id, elsewhere.id]) await withdraw(id);
    expect(await counted(good.packId)).toMatchObject(stays);
    const again = await uploaded(anna, "Heron", "removed-at-cutoff");
    expect(await counted(good.packId)).toMatchObject(stays);
    await decide(again.id, "reject");
    expect(await counted(good.packId)).toMatchObject(stays);
    await accept(again.id);
    expect(await counted(good.packId)).toMatchObject({ runs: [good.id, again.id], withdrawn: [] });
  });

  it("is withdrawn from the pack that it was of when it was seen, where its tester has moved it away", async () => {
    const [good, bad] = [await uploaded(anna, "Plover", "plain-20hz"), await uploaded(anna, "Plover", "truth-4s-10hz")];
    await accept(good.id);
    const { packId } = await register(app, anna, "Dunlin", logCase("plain-20hz"));
    expect((await ask("PATCH", `/v1/runs/${bad.id}`, anna, { packId, note: "Wrong bag." })).statusCode).toBe(200);
    await withdraw(bad.id);
    await until(
      () => counted(good.packId),
      ({ withdrawn }) => withdrawn?.includes(bad.id) === true,
    );
    const next = await uploaded(anna, "Plover", "spikes");
    const evidence = await ask("GET", `/v1/reviews/${next.id}/evidence`, mona);
    expect(evidence.json()).toMatchObject({ tester: { withdrawnOfPack: 1 } });
  });

  it.each(["accepts it elsewhere", "moves it on"])(
    "counts as tried where it was seen, from when its tester moves it away until a moderator %s",
    async (way) => {
      const seen = await uploaded(anna, "Whimbrel", "truth-4s-10hz");
      const move = async (headers: Headers, pack: string) => {
        const { packId } = await register(app, anna, pack, logCase("plain-20hz"));
        return ask("PATCH", `/v1/runs/${seen.id}`, headers, { packId, note: "Wrong bag." });
      };
      const next = await uploaded(anna, "Whimbrel", "spikes");
      const tries = async () => {
        await untilScored(app);
        const evidence = (await ask("GET", `/v1/reviews/${next.id}/evidence`, mona)).json<EvidenceSummaryView>();
        const { items } = (await ask("GET", "/v1/reviews", mona)).json<{ items: QueuedRun[] }>();
        const stored = items.find(({ id }) => id === next.id)?.risk?.withdrawnTries;
        return [evidence.tester.withdrawnOfPack, evidence.risk.withdrawnTries, stored];
      };
      expect(await tries()).toEqual([0, 0, 0]);
      expect((await move(anna, "Ruff")).statusCode).toBe(200);
      expect(await tries()).toEqual([1, 1, 1]);
      await until(
        () => (way === "moves it on" ? move(mona, "Reeve") : decide(seen.id, "accept")),
        ({ statusCode }) => statusCode < 300,
      );
      expect(await tries()).toEqual([0, 0, 0]);
    },
  );

  it("stays in the mean where a question is answered with a run that was accepted before, else until that is accepted", async () => {
    const [bad, asked] = [await uploaded(anna, "Siskin", "spikes"), await uploaded(anna, "Siskin", "truth-4s-10hz")];
    const good = await uploaded(anna, "Siskin", "plain-20hz");
    await accept(good.id);
    const replace = async (id: string, replacedBy: string) => {
      await decide(id, "request-info");
      const payload = { note: "See the later run.", replacedBy };
      expect((await ask("POST", `/v1/runs/${id}/answers`, anna, payload)).statusCode).toBe(200);
    };
    await replace(bad.id, good.id);
    expect(await counted(good.packId)).toMatchObject({ runs: [good.id], withdrawn: [bad.id] });
    const anew = await uploaded(anna, "Siskin", "lead-awg12");
    await replace(asked.id, anew.id);
    expect(await counted(good.packId)).toMatchObject({ runs: [good.id], withdrawn: [bad.id, asked.id] });
    await accept(anew.id);
    expect(await counted(good.packId)).toMatchObject({ runs: [good.id, anew.id], withdrawn: [bad.id] });
  });

  it("is in no mean where a moderator had rejected it", async () => {
    const [good, bad] = [await uploaded(anna, "Whimbrel", "plain-20hz"), await uploaded(anna, "Whimbrel", "spikes")];
    await accept(good.id);
    await decide(bad.id, "reject");
    await withdraw(bad.id);
    expect(await counted(good.packId)).toMatchObject({ runs: [good.id], withdrawn: [] });
  });
});
