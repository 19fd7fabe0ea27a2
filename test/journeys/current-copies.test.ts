import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { CopiesService } from "../../src/features/copies/copies.service.js";
import { DatasetService } from "../../src/features/dataset/dataset.service.js";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { FORMS } from "../../src/platform/http/requests/forms.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { Contract } from "../support/contract/contract.js";
import { readDescriptor } from "../support/downloaded.js";
import { productOf } from "../support/facts.js";
import { LADDER_BENCH, LADDER_PACK, ladderStepLog } from "../support/ladder-step.js";
import { postForm, register, uploadCase } from "../support/uploads.js";

// RFC 9110, 8.8.3 and 13.1.2: a tag tells one state of an answer from every other one, and 304 says that a copy is current.

type Headers = Partial<Record<"authorization", string>>;

let app: TestApp;
let people: Readonly<Record<"nobody" | "anna" | "bert" | "mona", Headers>>;
let packs: { readonly bert: string; readonly step: string };
let runs: { readonly anna: string; readonly bert: string; readonly step: string };
let reads: readonly string[];
beforeAll(async () => {
  app = await startTestApp();
  const [anna, bert, mona] = [
    await app.signIn("anna"),
    await app.signIn("bert"),
    await app.signIn("mona", "moderator"),
  ] as const;
  people = { nobody: {}, anna, bert, mona };
  const { body: ofAnna } = await uploadCase(app, anna, "Sprint", "truth-4s-10hz");
  const { body: ofBert } = await uploadCase(app, bert, "Ridge", "plain-20hz");
  const conditions = { ambientC: 21, restMinutes: 30, cycles: 12, setpointA: 60 };
  const facts = { log: new Uint8Array(), pack: LADDER_PACK, bench: LADDER_BENCH, conditions };
  const { packId, ...ids } = await register(app, bert, "Rung", facts);
  const run = { protocol: "current-ladder", startedAt: "2026-05-02T09:12:00Z", ...ids, ...conditions };
  const { body: step } = await postForm(`${app.url}/v1/runs`, run, ladderStepLog(60), { headers: bert });
  runs = { anna: ofAnna.id, bert: ofBert.id, step: step.id };
  packs = { bert: ofBert.pack.id, step: packId };
  const compared = [ofAnna.pack.id, ofBert.pack.id];
  await app.nest.get(DatasetService).write();
  const { version } = await readDescriptor(app);
  reads = [
    "/v1/runs",
    `/v1/runs/${ofBert.id}`,
    `/v1/runs/${ofBert.id}/trace?points=20`,
    `/v1/runs/${ofBert.id}/readings?at=20`,
    "/v1/packs",
    `/v1/packs/${ofBert.pack.id}/runs`,
    `/v1/packs/${ofBert.pack.id}/standings?figure=power-10s`,
    `/v1/packs/${packId}/ladders`,
    `/v1/ladders/${ids.specimenId}`,
    "/v1/rankings/power-10s",
    `/v1/rankings/power-10s/packs/${ofBert.pack.id}`,
    "/v1/classes",
    "/v1/figures",
    `/v1/comparisons?packs=${compared}`,
    `/v1/comparisons.csv?packs=${compared}`,
    `/v1/comparisons.md?packs=${compared}`,
    `/v1/comparisons?runs=${ofAnna.id},${ofBert.id}`,
    `/v1/packs/${ofBert.pack.id}/model`,
    `/v1/packs/${ofBert.pack.id}/validation`,
    `/v1/packs/${ofBert.pack.id}/energy-against-power`,
    `/v1/energy-against-power?packs=${compared}`,
    "/v1/validation",
    `/v1/runs/${ofBert.id}.svg`,
    `/v1/ladders/${ids.specimenId}.svg`,
    "/v1/rankings/power-10s.csv",
    `/v1/rankings/power-10s/packs/${ofBert.pack.id}.svg`,
    `/v1/comparisons.svg?packs=${compared}`,
    `/v1/rankings/power-10s/packs/${ofBert.pack.id}/cycles`,
    "/v1/changes?first=100",
    "/v1/changes.atom",
    "/v1/dataset",
    `/v1/dataset/${version}/datapackage.json`,
  ];
});
afterAll(() => app.close());

async function decide(id: string, decision: "accept" | "reject"): Promise<void> {
  await app.nest.get(CopiesService).awaitCheck(id);
  const payload = { decision, rules: [], note: "Looked at." };
  const headers = people.mona as { authorization: string };
  const answer = await app.inject({ method: "POST", url: `/v1/runs/${id}/reviews`, payload, headers });
  expect(answer.statusCode).toBe(201);
}

const OF_THE_RECORD = /\.(svg|csv|md)\b|\/(model|validation|cycles)$/;

const jobs = () => app.database.$queryRaw<object[]>`SELECT FROM graphile_worker.jobs`;

/** What was shown so far: the body by who asked for what, and the tag that it came under. */
const shown = new Map<string, string>();
let current = new Map<string, { readonly tag: string; readonly body: string }>();

const USUAL_HOST = "look-100.example";
let looks = 0;

/** Reads everything as everybody, and returns which reads show something that they did not show before. */
async function look(): Promise<string[]> {
  while ((await jobs()).length > 0) await delay(20);
  const found = new Map<string, { tag: string; body: string }>();
  // What a stranger is answered is kept for the next who asks for it under the same name of the service: asked under a new one, as wide as that, it is made anew.
  const host = `look-${100 + ++looks}.example`;
  for (const [person, headers] of Object.entries(people)) {
    // What is drawn or computed of the public record alone is asked for by nobody and by the tester whose runs change.
    const asked = ["nobody", "bert"].includes(person) ? reads : reads.filter((url) => !OF_THE_RECORD.test(url));
    for (const url of asked) {
      const answer = await app.inject({ url, headers: { ...headers, host } });
      const asked = `${person} ${url}`;
      const tag = answer.statusCode === 200 ? String(answer.headers.etag) : String(answer.statusCode);
      const body = answer.statusCode === 200 ? answer.body.replaceAll(host, USUAL_HOST) : "";
      found.set(asked, { tag, body });
      if (person === "nobody" && body !== "") {
        const kept = await app.inject({ url, headers: { host: USUAL_HOST } });
        expect([asked, kept.headers.etag, kept.body]).toEqual([asked, tag, body]);
      }
      const before = shown.get(`${asked} ${tag}`) ?? found.get(asked)?.body;
      expect([asked, found.get(asked)?.body]).toEqual([asked, before]);
      shown.set(`${asked} ${tag}`, before as string);
    }
  }
  const changed = [...found].filter(([asked, { body }]) => current.get(asked)?.body !== body);
  current = found;
  return [...new Set(changed.map(([asked]) => asked.split(" ")[1] as string))];
}

it("covers every read whose tag is made of a version", () => {
  const contract = Contract.read();
  const form = new RegExp(
    `(${Object.values(FORMS)
      .map(({ suffix }) => suffix)
      .join("|")})$`,
  );
  const nameOf = (url: string) => contract.find("GET", url)?.operation.operationId.replace(form, "");
  const operations = new Set(reads.map(nameOf));
  const files = readdirSync(join(projectRoot, "src"), { recursive: true, encoding: "utf8" });
  const sources = files.filter((name) => name.endsWith(".controller.ts"));
  const conditional = sources.flatMap(
    (name) => readFileSync(join(projectRoot, "src", name), "utf8").match(/@Conditional\(\)/g) ?? [],
  );
  expect(operations.size).toBe(conditional.length);
});

it("never shows two states of the record under one tag, to whoever asks", async () => {
  await look();
  const changes: readonly (readonly [string, () => Promise<unknown>, readonly number[]])[] = [
    ["a run is accepted", () => decide(runs.bert, "accept"), [0, 1, 2, 5, 6, 9, 10, 11, 13]],
    ["a step of a ladder is accepted", () => decide(runs.step, "accept"), [7, 8]],
    ["another run is accepted", () => decide(runs.anna, "accept"), [0, 9, 11, 13, 16]],
    [
      "a pack is registered",
      () => app.inject({ method: "POST", url: "/v1/packs", payload: productOf("New"), headers: people.anna }),
      [4, 11],
    ],
    [
      "the name of a pack is corrected",
      () =>
        app.inject({
          method: "PATCH",
          url: `/v1/packs/${packs.bert}`,
          payload: { name: "Ridge Two", reason: "As printed." },
          headers: people.mona,
        }),
      [0, 1, 4, 5, 10, 13],
    ],
    [
      "the name of a ladder's pack is corrected",
      () =>
        app.inject({
          method: "PATCH",
          url: `/v1/packs/${packs.step}`,
          payload: { name: "Rung Two", reason: "As printed." },
          headers: people.mona,
        }),
      [4, 8],
    ],
    [
      "a run is withdrawn",
      () => app.inject({ method: "DELETE", url: `/v1/runs/${runs.anna}`, headers: people.anna }),
      [0, 9, 11],
    ],
    [
      "a tester is erased",
      () =>
        app.inject({
          method: "POST",
          url: "/v1/accounts/me/erasure",
          payload: { password: "correct horse battery" },
          headers: people.bert,
        }),
      [0, 1, 5, 7, 8, 10],
    ],
  ];
  for (const [what, change, expected] of changes) {
    await change();
    const changed = await look();
    expect([what, changed]).toEqual([what, expect.arrayContaining(expected.map((index) => reads[index]))]);
  }
});

it("answers 304 to the copy that is shown now, and none to one that is shown no more", async () => {
  const tags = [...current].filter(([asked]) => asked.startsWith("nobody "));
  for (const [asked, { tag }] of tags) {
    if (!tag.startsWith("W/")) continue;
    const url = asked.split(" ")[1] as string;
    const old = [...shown.keys()].filter((key) => key.startsWith(`${asked} W/`) && !key.endsWith(tag));
    for (const [held, status] of [[tag, 304], ...old.map((key) => [key.split(" ")[2], 200] as const)] as const) {
      const answer = await app.inject({ url, headers: { "if-none-match": String(held) } });
      expect([url, held, answer.statusCode]).toEqual([url, held, status]);
    }
  }
});
