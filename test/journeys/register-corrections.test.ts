import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { RunView } from "../../src/features/runs/runs.views.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { productOf } from "../support/facts.js";
import { logCase, postForm, register, uploadCase } from "../support/uploads.js";

type Headers = { authorization: string };
type Method = "GET" | "POST" | "PATCH" | "DELETE";

let app: TestApp;
let tilda: Headers;
let mona: Headers;
beforeAll(async () => {
  app = await startTestApp();
  tilda = await app.signIn("tilda");
  mona = await app.signIn("mona", "moderator");
});
afterAll(() => app.close());

const ask = (method: Method, url: string, headers: Headers | null, payload?: object) =>
  app.inject({ method, url, ...(headers ? { headers } : {}), ...(payload ? { payload } : {}) });
const runOf = async (id: string) => (await ask("GET", `/v1/runs/${id}`, mona)).json<RunView>();
const rowOf = (id: string) => app.database.run.findUniqueOrThrow({ where: { id } });

async function accept(runId: string) {
  const decision = { decision: "accept", rules: [], note: "Fine." };
  const answer = await ask("POST", `/v1/runs/${runId}/reviews`, mona, decision);
  expect([answer.statusCode, answer.body]).toEqual([201, expect.any(String)]);
}

/** A run of a pack of this name, whose mass is 545 g. */
async function uploaded(name: string, log = "plain-20hz", headers = tilda) {
  const { body } = await uploadCase(app, headers, name, log);
  return { runId: body.id, packId: body.pack.id, specimenId: body.specimen.id };
}

/** A pack that weighs twice as much. */
async function heavyPack(name: string): Promise<string> {
  return (await register(app, tilda, name, { ...logCase("plain-20hz"), pack: HEAVY })).packId;
}
const HEAVY = { ...logCase("plain-20hz").pack, massGrams: 1090 };

/** Waits until nothing rests any more on what was registered before. */
async function evaluatedAnew() {
  while ((await app.database.run.count({ where: { outdated: true } })) > 0) await delay(50);
}

/** When a run was compared for copies, once no comparison waits. */
async function comparedAt(runId: string): Promise<Date> {
  const waiting = "SELECT FROM graphile_worker.jobs WHERE task_identifier = 'check-copies'";
  while ((await app.database.pool.query(waiting)).rowCount !== 0) await delay(50);
  const { checkedAt } = await app.database.copyFingerprint.findUniqueOrThrow({ where: { runId } });
  return checkedAt as Date;
}

/** Energy of a run, and its energy for each kilogram of its pack. */
async function energyOf(runId: string) {
  const { figures } = (await ask("GET", `/v1/runs/${runId}`, mona)).json<{
    figures: { key: string; basis: string; value: number | null }[];
  }>();
  const figure = (key: string) =>
    figures.find((one) => one.key === key && one.basis !== "translated")?.value ?? Number.NaN;
  return { whole: figure("energy"), perKilogram: figure("specific-energy") };
}

const standingsOf = async (packId: string) =>
  (await ask("GET", `/v1/packs/${packId}/standings?first=100`, null)).json<{
    items: { figure: string; testers: number; value: number }[];
  }>().items;

async function entriesOf(subjectId: string, events: string[]) {
  const where = { subjectId, event: { in: events } };
  const entries = await app.database.auditEntry.findMany({
    where,
    orderBy: { position: "asc" },
    include: { reason: true },
  });
  return entries.map(({ event, fromState, toState, reason }) => [event, fromState, toState, reason?.text ?? null]);
}

describe("a run under the wrong pack", () => {
  it("is put right by its tester with one request, and is evaluated with what is registered of the right one", async () => {
    const { runId, packId, specimenId } = await uploaded("Heron");
    const before = await energyOf(runId);
    const rightId = await heavyPack("Walnut");
    const evaluationId = (await rowOf(runId)).currentEvaluationId;
    const compared = await comparedAt(runId);
    const move = (headers: Headers, payload: object) => ask("PATCH", `/v1/runs/${runId}`, headers, payload);
    expect((await move(await app.signIn("stranger"), { packId: rightId })).statusCode).toBe(404);
    expect((await move(tilda, {})).statusCode).toBe(422);
    expect((await move(tilda, { packId: NOBODYS })).json()).toMatchObject({ code: "unknown-reference" });
    expect((await move(tilda, { specimenId: "none" })).json()).toMatchObject({ code: "unknown-reference" });
    const moved = await move(tilda, { packId: rightId, note: "Two bags side by side." });
    expect([moved.statusCode, moved.json()]).toMatchObject([
      200,
      { pack: { id: rightId }, specimen: { label: "Heron no. 1", cycles: 12 } },
    ]);
    const newSpecimenId = moved.json<RunView>().specimen.id;
    await evaluatedAnew();
    expect((await rowOf(runId)).currentEvaluationId).not.toBe(evaluationId);
    expect((await comparedAt(runId)).getTime()).toBeGreaterThan(compared.getTime());
    const after = await energyOf(runId);
    expect(after.whole).toBeCloseTo(before.whole, 9);
    expect(after.perKilogram).toBeCloseTo(before.perKilogram / 2, 9);
    await accept(runId);
    expect([(await standingsOf(rightId)).length > 10, (await standingsOf(packId)).length]).toEqual([true, 0]);
    expect(await entriesOf(runId, ["move"])).toEqual([
      [
        "move",
        "processed/pending",
        "processed/pending",
        `From specimen ${specimenId} of pack ${packId} to specimen ${newSpecimenId} of pack ${rightId}. Two bags side by side.`,
      ],
    ]);
  });

  it("is moved by a moderator once it is accepted: it leaves the one's standings at once and enters the other's", async () => {
    const { runId, packId } = await uploaded("Kestrel", "truth-4s-10hz");
    await accept(runId);
    const stood = await standingsOf(packId);
    const rightId = await heavyPack("Juniper");
    const move = (headers: Headers) => ask("PATCH", `/v1/runs/${runId}`, headers, { packId: rightId });
    expect((await move(tilda)).json()).toMatchObject({ status: 403, code: "role-required" });
    const mutation = "mutation($id: ID!, $i: RunMoveInput!) { moveRun(id: $id, input: $i) { pack { id } } }";
    const variables = { id: runId, i: { packId: rightId } };
    const { body } = await app.graphql(mutation, { variables, headers: mona });
    expect(body).toEqual({ data: { moveRun: { pack: { id: rightId } } } });
    expect((await standingsOf(packId)).length).toBe(0);
    await evaluatedAnew();
    expect((await standingsOf(rightId)).length).toBe(stood.length);
    expect((await runOf(runId)).review).toBe("accepted");
    const { specimenId } = await register(app, mona, "Nutmeg", logCase("plain-20hz"));
    expect((await ask("PATCH", `/v1/runs/${runId}`, mona, { specimenId })).json()).toMatchObject({
      code: "unknown-reference",
    });
    await ask("DELETE", `/v1/runs/${runId}`, tilda);
    expect((await ask("PATCH", `/v1/runs/${runId}`, mona, { packId })).json()).toMatchObject({
      code: "decision-not-possible",
    });
  });
});

describe("a wrong registration", () => {
  it("is corrected by whoever registered it until a run is accepted, by moderators after, and what depends on it follows", async () => {
    const { runId, packId } = await uploaded("Sorrel", "jitter-25hz");
    const before = await energyOf(runId);
    const correct = (headers: Headers, payload: object) => ask("PATCH", `/v1/packs/${packId}`, headers, payload);
    expect((await correct(await app.signIn("other"), { massGrams: 500 })).statusCode).toBe(403);
    expect((await correct(tilda, { name: null })).json()).toMatchObject({ errors: [{ pointer: "/name" }] });
    const renamed = await correct(tilda, { name: "Sorrel II", massGrams: 1090, reason: "Weighed without its bag." });
    expect([renamed.statusCode, renamed.json()]).toMatchObject([
      200,
      { name: "Sorrel II", massGrams: 1090, series: 4 },
    ]);
    await evaluatedAnew();
    expect((await energyOf(runId)).perKilogram).toBeCloseTo(before.perKilogram / 2, 9);
    await accept(runId);
    const standing = async () =>
      (await standingsOf(packId)).find(({ figure }) => figure === "specific-energy")?.value ?? Number.NaN;
    const heavy = await standing();
    expect((await correct(tilda, { massGrams: 545 })).json()).toMatchObject({ status: 403, code: "role-required" });
    expect((await correct(mona, { massGrams: 545 })).statusCode).toBe(200);
    await evaluatedAnew();
    expect(await standing()).toBeCloseTo(2 * heavy, 9);
    expect((await correct(mona, { ratedCapacityMah: 5200 })).statusCode).toBe(200);
    await evaluatedAnew();
    expect((await app.database.standing.findFirst({ where: { packId } }))?.ratedCapacityMah).toBe(5200);
    expect((await correct(mona, { massGrams: 545 })).statusCode).toBe(200);
    expect(await entriesOf(packId, ["correct"])).toEqual([
      [
        "correct",
        '{"name":"Sorrel","massGrams":545}',
        '{"name":"Sorrel II","massGrams":1090}',
        "Weighed without its bag.",
      ],
      ["correct", '{"massGrams":1090}', '{"massGrams":545}', null],
      ["correct", '{"ratedCapacityMah":5000}', '{"ratedCapacityMah":5200}', null],
    ]);
  });

  it("is not corrected into another pack of the record", async () => {
    const kept = (await ask("POST", "/v1/packs", tilda, productOf("Lantern"))).json<{ id: string }>().id;
    const { id } = (await ask("POST", "/v1/packs", tilda, productOf("Marigold"))).json<{ id: string }>();
    const rename = (payload: object) => ask("PATCH", `/v1/packs/${id}`, tilda, payload);
    expect((await rename({ name: "Lan-tern" })).json()).toMatchObject({
      code: "similar-pack",
      similarPacks: [{ id: kept }],
    });
    const taken = await rename({ name: "Lantern", differsFrom: [kept] });
    expect([taken.statusCode, taken.json()]).toMatchObject([409, { code: "already-exists" }]);
  });
});

describe("two packs that are one", () => {
  it("are merged: runs and standings become the other's, and every address of the one leads there", async () => {
    const bert = await app.signIn("bert");
    const one = await uploaded("Barley", "spikes");
    const found = { ...logCase("lead-awg12"), pack: HEAVY };
    const { packId: intoId, specimenId, benchId } = await register(app, bert, "Thunder", found);
    const { log, conditions } = found;
    const facts = { protocol: "full-load", startedAt: "2026-05-03T09:12:00Z", specimenId, benchId, ...conditions };
    const other = await postForm(`${app.url}/v1/runs`, facts, log, { headers: bert });
    for (const id of [one.runId, other.body.id]) await accept(id);
    const before = await energyOf(one.runId);
    const evaluationId = (await rowOf(other.body.id)).currentEvaluationId;
    const merge = (id: string, into: string, headers = mona) =>
      ask("POST", `/v1/packs/${id}/merge`, headers, { into, reason: "The same sticker." });
    expect((await merge(one.packId, intoId, tilda)).statusCode).toBe(403);
    expect((await merge(one.packId, one.packId)).json()).toMatchObject({ code: "decision-not-possible" });
    expect((await merge(one.packId, NOBODYS)).json()).toMatchObject({ errors: [{ pointer: "/into" }] });
    const [comparedOne, comparedOther] = [await comparedAt(one.runId), await comparedAt(other.body.id)];
    const read = await ask("GET", `/v1/packs/${one.packId}/ladders`, null);
    expect((await merge(one.packId, intoId)).json()).toMatchObject({ id: intoId, name: "Thunder" });
    expect((await merge(one.packId, intoId)).json()).toMatchObject({ code: "decision-not-possible" });
    await evaluatedAnew();

    for (const path of ["", "/runs?first=1", "/standings", "/ladders?first=2"]) {
      const answer = await ask("GET", `/v1/packs/${one.packId}${path}`, null);
      expect([answer.statusCode, answer.headers.location]).toEqual([308, `/v1/packs/${intoId}${path}`]);
      // RFC 9110, 15.4.9: a 308 may be kept by a cache unless it says otherwise; this merge is undone below.
      expect(answer.headers["cache-control"]).toBe("public, no-cache");
      expect(String(answer.headers.vary).toLowerCase()).toContain("authorization");
      expect((await ask("GET", `/v1/packs/${intoId}${path}`, null)).statusCode).toBe(200);
    }
    const place = await ask("GET", `/v1/rankings/energy/packs/${one.packId}?chemistry=lipo`, null);
    expect(place.headers.location ?? place.body).toBe(`/v1/rankings/energy/packs/${intoId}?chemistry=lipo`);
    const headers = { "if-none-match": read.headers.etag as string };
    expect((await app.inject({ url: `/v1/packs/${one.packId}/standings`, headers })).statusCode).toBe(308);
    const { body } = await app.graphql(`{ pack(id: "${one.packId}") { id } }`);
    expect(body).toEqual({ data: { pack: { id: intoId } } });

    expect((await runOf(one.runId)).pack.id).toBe(intoId);
    expect((await comparedAt(one.runId)).getTime()).toBeGreaterThan(comparedOne.getTime());
    expect(await comparedAt(other.body.id)).toEqual(comparedOther);
    expect((await energyOf(one.runId)).perKilogram).toBeCloseTo(before.perKilogram / 2, 9);
    expect((await rowOf(other.body.id)).currentEvaluationId).toBe(evaluationId);
    expect((await standingsOf(intoId)).find(({ figure }) => figure === "energy")?.testers).toBe(2);
    expect(await app.database.standing.count({ where: { packId: one.packId } })).toBe(0);
    const runs = await ask("GET", `/v1/runs?packId=${one.packId}`, null);
    expect(runs.json<{ items: object[] }>().items.length).toBe(2);
    const listed = (await ask("GET", "/v1/packs?search=barley", null)).json<{ items: object[] }>();
    expect(listed.items).toEqual([]);

    const apart = (await ask("POST", "/v1/packs", tilda, productOf("Plinth"))).json<{ id: string }>().id;
    const compared = await ask("GET", `/v1/comparisons?packs=${apart},${one.packId}&baseline=${one.packId}`, null);
    expect(compared.json()).toMatchObject({
      baseline: intoId,
      columns: [{ id: apart }, { id: intoId, pack: { name: "Thunder" } }],
    });
    const alike = await ask("GET", `/v1/comparisons?packs=${intoId},${one.packId}`, null);
    expect(alike.json()).toMatchObject({ status: 422, errors: [{ pointer: "/packs" }] });
    const tag = { "if-none-match": compared.headers.etag as string };
    expect(
      (await app.inject({ url: `/v1/comparisons?packs=${apart},${one.packId}&baseline=${one.packId}`, headers: tag }))
        .statusCode,
    ).toBe(304);
    const use = { steps: [{ seconds: 5, powerW: 100 }], repeats: 2 };
    const predicted = await ask("POST", "/v1/predictions", null, { packIds: [one.packId, apart], use });
    expect(predicted.json<{ items: object[] }>().items).toMatchObject([{ packId: intoId }, { packId: apart }]);
    const validation = await app.graphql(`{ packValidation(packId: "${one.packId}") { packId } }`);
    expect(validation.body).toEqual({ data: { packValidation: { packId: intoId } } });

    const specimen = { packId: one.packId, label: "Second one", cycles: 3 };
    const registered = await ask("POST", "/v1/specimens", tilda, specimen);
    expect([registered.statusCode, registered.json()]).toMatchObject([201, { packId: intoId }]);
    expect((await ask("POST", "/v1/specimens", tilda, specimen)).json()).toMatchObject({
      existingId: registered.json<{ id: string }>().id,
    });
    const again = await ask("POST", "/v1/packs", tilda, productOf("Barley", logCase("plain-20hz").pack));
    expect(again.json()).toMatchObject({ code: "already-exists", existingId: intoId });
    expect(await entriesOf(one.packId, ["merge"])).toEqual([
      ["merge", "separate", `merged into ${intoId}`, "The same sticker."],
    ]);

    // What is hidden is compared with nothing, and is corrected by those alone who see it.
    await ask("POST", `/v1/packs/${apart}/hiding`, mona, { reason: "No such product." });
    expect((await app.inject({ url: `/v1/comparisons?packs=${apart},${one.packId}`, headers: tag })).statusCode).toBe(
      404,
    );
    const correct = (headers: Headers) => ask("PATCH", `/v1/packs/${apart}`, headers, { massGrams: 300 });
    expect([(await correct(bert)).statusCode, (await correct(tilda)).statusCode]).toEqual([404, 200]);
    expect((await correct(mona)).statusCode).toBe(200);

    // The moderator was wrong: each has its own again, and what was registered since stays.
    const undo = (id: string, headers = mona) => ask("DELETE", `/v1/packs/${id}/merge?reason=Another+batch.`, headers);
    expect((await undo(one.packId, tilda)).statusCode).toBe(403);
    expect((await undo(intoId)).json()).toMatchObject({ code: "decision-not-possible" });
    expect((await undo(NOBODYS)).statusCode).toBe(404);
    expect((await undo(one.packId)).json()).toMatchObject({ id: one.packId, name: "Barley" });
    expect((await undo(one.packId)).json()).toMatchObject({ code: "decision-not-possible" });
    await evaluatedAnew();
    expect((await ask("GET", `/v1/packs/${one.packId}`, null)).statusCode).toBe(200);
    expect((await runOf(one.runId)).pack.id).toBe(one.packId);
    expect((await runOf(other.body.id)).pack.id).toBe(intoId);
    expect((await energyOf(one.runId)).perKilogram).toBeCloseTo(before.perKilogram, 9);
    for (const id of [one.packId, intoId]) {
      expect((await standingsOf(id)).find(({ figure }) => figure === "energy")?.testers).toBe(1);
    }
    expect((await app.database.specimen.findFirstOrThrow({ where: { label: "Second one" } })).packId).toBe(intoId);
    expect(await entriesOf(one.packId, ["undo-merge"])).toEqual([
      ["undo-merge", `merged into ${intoId}`, "separate", "Another batch."],
    ]);
  });

  it("leave what is confirmed as it was once they are undone, but for what moderators have confirmed meanwhile", async () => {
    const ids: string[] = [];
    for (const name of ["Cedar", "Aspen", "Hazel"]) {
      ids.push((await ask("POST", "/v1/packs", tilda, productOf(name))).json<{ id: string }>().id);
    }
    const [into, first, second] = ids as [string, string, string];
    const { id: moderatorId } = await app.database.account.findFirstOrThrow({ where: { handle: "mona" } });
    const confirm = (packId: string, figure: string, value: number, by: object = {}) => {
      const where = { protocolKey: "full-load", figure, load: 0, packId };
      const values = { value, uncertainty: 1, degreesOfFreedom: 9, computedValue: value, vouchedTesters: 1, ...by };
      return app.database.confirmedValue.upsert({
        where: { protocolKey_figure_load_packId: where },
        create: { ...where, ...values },
        update: values,
      });
    };
    const confirmedOf = async (packId: string) => {
      const rows = await app.database.confirmedValue.findMany({ where: { packId }, orderBy: { figure: "asc" } });
      return rows.map(({ figure, value }) => [figure, value]);
    };
    await confirm(into, "capacity", 100);
    await confirm(into, "energy", 50);
    await confirm(first, "capacity", 200);
    await ask("POST", `/v1/packs/${first}/merge`, mona, { into });
    // Testers of the merged pack confirm another value, and one of another figure; a moderator decides on a third.
    await confirm(into, "capacity", 125);
    await confirm(into, "power-10s", 1000);
    await confirm(into, "energy", 60, { moderatorId, confirmedAt: new Date() });
    await ask("POST", `/v1/packs/${second}/merge`, mona, { into });
    await confirm(into, "capacity", 150);
    expect((await ask("DELETE", `/v1/packs/${first}/merge`, mona)).statusCode).toBe(200);
    const before = [
      ["capacity", 100],
      ["energy", 60],
    ];
    expect([await confirmedOf(into), await confirmedOf(first)]).toEqual([before, [["capacity", 200]]]);
    // Nor does the end of a later merge bring back what the first one had confirmed.
    await ask("DELETE", `/v1/packs/${second}/merge`, mona);
    expect(await confirmedOf(into)).toEqual(before);
    expect(await app.database.confirmedBeforeMerge.count({ where: { intoId: into } })).toBe(0);
  });

  it("lead on to a third one that they are merged into later, and keep apart specimens that are labelled alike", async () => {
    const ids: string[] = [];
    for (const name of ["Quartz", "Velvet", "Indigo"]) {
      const { id } = (await ask("POST", "/v1/packs", tilda, productOf(name))).json<{ id: string }>();
      await ask("POST", "/v1/specimens", tilda, { packId: id, label: LONG, cycles: 1 });
      ids.push(id);
    }
    const [first, second, third] = ids as [string, string, string];
    await ask("POST", `/v1/packs/${first}/merge`, mona, { into: second });
    const mutation = "mutation($id: ID!, $i: MergeInput!) { mergePack(id: $id, input: $i) { id } }";
    const { body } = await app.graphql(mutation, { variables: { id: second, i: { into: third } }, headers: mona });
    expect(body).toEqual({ data: { mergePack: { id: third } } });
    for (const id of [first, second]) {
      expect((await ask("GET", `/v1/packs/${id}`, null)).headers.location).toBe(`/v1/packs/${third}`);
    }
    const labels = await app.database.specimen.findMany({ where: { packId: third }, select: { label: true } });
    expect(new Set(labels.map(({ label }) => label)).size).toBe(3);

    const undo = "mutation($id: ID!) { undoPackMerge(id: $id) { id } }";
    const undone = await app.graphql(undo, { variables: { id: second }, headers: mona });
    expect(undone.body).toEqual({ data: { undoPackMerge: { id: second } } });
    expect((await ask("GET", `/v1/packs/${first}`, null)).headers.location).toBe(`/v1/packs/${second}`);
    const labelsOf = async (packId: string) =>
      (await app.database.specimen.findMany({ where: { packId } })).map(({ label }) => label.slice(0, 5)).sort();
    expect([await labelsOf(second), await labelsOf(third)]).toEqual([["No. 1", "No. 1"], ["No. 1"]]);
    await app.graphql(undo, { variables: { id: first }, headers: mona });
    for (const packId of [first, second, third]) {
      const own = await app.database.specimen.findMany({ where: { packId }, select: { label: true } });
      expect(own).toEqual([{ label: LONG }]);
    }
    // Of a merge that an older program made nobody knows which specimens were whose.
    await ask("POST", `/v1/packs/${first}/merge`, mona, { into: second });
    await app.database.pack.update({ where: { id: first }, data: { mergedUntraced: true } });
    expect((await ask("DELETE", `/v1/packs/${first}/merge`, mona)).json()).toMatchObject({
      code: "decision-not-possible",
      detail: expect.stringContaining("Register the pack again under another name"),
    });
  });
});

/** As long as a label may be. */
const LONG = "No. 1, ".padEnd(80, "of the twins ");
const NOBODYS = "018f0000-0000-7000-8000-000000000000";
