import { createHash } from "node:crypto";
import { setTimeout as delay } from "node:timers/promises";
import { AMBIENT_C, BENCH, logNumber } from "../durability/league-logs.js";
import type { Acknowledged } from "../durability/uploaders.js";
import { PACK, productOf } from "../support/facts.js";
import { type Answer, type Asked, Asker } from "./asker.js";

/** With it the administrator of a trial registers. */
export const SETUP_TOKEN = "the first administrator of this trial registers with it";
const PASSWORD = "a long enough secret";

/** Each tester's own packs, by capacity, mAh: with one tester to a pack its standing is the mean of that tester's runs. */
const TESTERS: Readonly<Record<string, readonly number[]>> = {
  anna: [1300, 1800, 2600],
  bert: [1500, 2200, 3000],
  cleo: [3700, 4200, 6000],
};
const READERS = 2;
/** One upload in so many sends a log that was sent before. */
const AGAIN_EVERY = 6;
/** Of so many runs one is never decided on. */
const LEFT_EVERY = 5;
const TRY_AGAIN_MS = 200;
/** Between two looks of the moderator, and of a reader, ms. */
const LOOK_MS = 500;

interface Tester {
  readonly token: string;
  readonly benchId: string;
  readonly specimenIds: readonly string[];
  readonly capacitiesMah: readonly number[];
}

/**
 * Testers who upload runs, each until it is acknowledged, a moderator who accepts most of them, and readers: what goes on at a
 * service while things fail.
 */
export class Crowd {
  readonly acknowledged: Acknowledged[] = [];
  /** Runs that were sent once or more. */
  offered = 0;
  private readonly asker: Asker;
  private readonly testers: Tester[] = [];
  private moderator = "";
  private working: Promise<void>[] = [];
  private isEnding = false;
  private next = 0;

  /** @param numbersFrom of the first log; logs of different numbers are different measurements */
  constructor(
    url: string,
    private readonly numbersFrom = 0,
  ) {
    this.asker = new Asker(url);
  }

  get answers() {
    return this.asker.answers;
  }
  get serverErrors() {
    return this.asker.serverErrors;
  }
  get late() {
    return this.asker.late;
  }
  get longestSeconds() {
    return this.asker.longestSeconds;
  }

  /** Registers everybody and their packs; nothing may fail yet. */
  async gather(): Promise<void> {
    await this.registerAdministrator();
    const administrator = await this.signIn("ada");
    for (const handle of [...Object.keys(TESTERS), "mona"]) {
      await this.must("/v1/accounts", { json: { handle, password: PASSWORD } });
    }
    this.moderator = await this.signIn("mona");
    const { id } = await this.must("/v1/accounts/me", { method: "GET", token: this.moderator });
    const role = { role: "moderator", reason: "Decides on the runs." };
    await this.must(`/v1/accounts/${id}/role`, { method: "PUT", token: administrator, json: role });
    for (const [handle, capacitiesMah] of Object.entries(TESTERS)) await this.equip(handle, capacitiesMah);
  }

  /** Registers and begins; the name is that of the other clients of a kill run. */
  async begin(): Promise<void> {
    await this.gather();
    this.start();
  }

  start(): void {
    this.working = [
      ...this.testers.map((tester) => this.uploadOn(tester)),
      this.decideOn(),
      ...Array.from({ length: READERS }, () => this.readOn()),
    ];
  }

  /** Ends it once every run that was sent is acknowledged. */
  async end(): Promise<void> {
    this.isEnding = true;
    await Promise.all(this.working);
  }

  /** From now on every other request goes to another service on the same record. */
  alsoAsk(url: string): void {
    this.asker.urls.push(url);
  }

  askOnly(url: string): void {
    this.asker.urls.splice(0, Number.POSITIVE_INFINITY, url);
  }

  /** The token of a tester, and a specimen and bench of the same, for a log of a scenario's own. */
  get first(): Tester {
    return this.testers[0] as Tester;
  }

  /** Uploads a log until it is acknowledged. Returns the run's id. */
  async upload(tester: Tester, pack: number, log: string): Promise<string> {
    const sha256 = createHash("sha256").update(log).digest("hex");
    this.offered++;
    for (;;) {
      const form = formOf(tester, pack, log);
      const answer = await this.asker.ask("/v1/runs", { method: "POST", token: tester.token, form });
      if (answer && answer.status < 300) {
        const id = String(answer.body.id);
        this.acknowledged.push({ id, sha256 });
        return id;
      }
      if (answer && answer.status < 500 && answer.status !== 429) {
        throw new Error(`an upload was answered ${answer.status}: ${JSON.stringify(answer.body)}`);
      }
      await pauseAfter(answer);
    }
  }

  /** What the API says of a run to its tester. */
  async show(tester: Tester, id: string): Promise<Readonly<Record<string, unknown>> | null> {
    const answer = await this.asker.ask(`/v1/runs/${id}`, { token: tester.token });
    return answer?.status === 200 ? answer.body : null;
  }

  private async uploadOn(tester: Tester): Promise<void> {
    const sent: { readonly pack: number; readonly log: string }[] = [];
    while (!this.isEnding) {
      const number = this.next++;
      const pack = number % tester.capacitiesMah.length;
      const isAgain = number % AGAIN_EVERY === 0 && sent.length > 0;
      const log = logNumber(this.numbersFrom + number, tester.capacitiesMah[pack] as number);
      const upload = isAgain ? (sent[number % sent.length] as { pack: number; log: string }) : { pack, log };
      sent.push(upload);
      await this.upload(tester, upload.pack, upload.log);
    }
  }

  /** Accepts what waits, but for one run in some, until the testers have ended. */
  private async decideOn(): Promise<void> {
    while (!this.isEnding) {
      const queue = await this.asker.ask("/v1/reviews?first=50", { token: this.moderator });
      const items = (queue?.status === 200 ? queue.body.items : []) as { readonly id: string }[];
      const runIds = items.map(({ id }) => id).filter((id) => Number.parseInt(id.slice(-4), 16) % LEFT_EVERY !== 0);
      const json = { runIds, decision: "accept", rules: [], note: "Looked at." };
      const decided =
        runIds.length > 0 && (await this.asker.ask("/v1/reviews", { method: "POST", token: this.moderator, json }));
      await (decided ? pauseAfter(decided) : delay(LOOK_MS));
    }
  }

  private async readOn(): Promise<void> {
    while (!this.isEnding) {
      await this.asker.ask("/v1/rankings/power-10s?standing=all&first=50");
      await this.asker.ask("/v1/packs?first=20");
      await delay(LOOK_MS);
    }
  }

  /** The token stands some moments after the service has begun to answer. */
  private async registerAdministrator(): Promise<void> {
    const json = { token: SETUP_TOKEN, handle: "ada", password: PASSWORD };
    for (let tries = 0; tries < 1_200; tries++) {
      const answer = await this.asker.ask("/v1/administrators", { method: "POST", json });
      if (answer?.status === 201) return;
      await delay(TRY_AGAIN_MS);
    }
    throw new Error("the first administrator could not register");
  }

  private async signIn(handle: string): Promise<string> {
    return String((await this.must("/v1/sessions", { json: { handle, password: PASSWORD } })).token);
  }

  private async equip(handle: string, capacitiesMah: readonly number[]): Promise<void> {
    const token = await this.signIn(handle);
    const bench = await this.must("/v1/benches", { token, json: { ...BENCH, label: "Bench" } });
    const specimenIds: string[] = [];
    for (const ratedCapacityMah of capacitiesMah) {
      const product = productOf(`Row ${ratedCapacityMah}`, { ...PACK, massGrams: null, ratedCapacityMah });
      const pack = await this.must("/v1/packs", { token, json: product });
      const specimen = { packId: pack.id, label: "no. 1", cycles: 12 };
      specimenIds.push(String((await this.must("/v1/specimens", { token, json: specimen })).id));
    }
    this.testers.push({ token, benchId: String(bench.id), specimenIds, capacitiesMah });
  }

  private async must(path: string, { method = "POST", ...asked }: Asked): Promise<Readonly<Record<string, unknown>>> {
    const answer = await this.asker.ask(path, { method, ...asked });
    if (answer && answer.status < 300) return answer.body;
    throw new Error(`${path} was answered ${answer?.status}: ${JSON.stringify(answer?.body)}`);
  }
}

function formOf({ specimenIds, benchId }: Tester, pack: number, log: string): FormData {
  const conditions = { ambientC: AMBIENT_C, restMinutes: 30, cycles: 12 };
  const form = new FormData();
  form.append("run", JSON.stringify({ protocol: "full-load", specimenId: specimenIds[pack], benchId, ...conditions }));
  form.append("log", new Blob([log], { type: "text/csv" }), "log.csv");
  return form;
}

const pauseAfter = (answer: Answer | null) => delay(Math.max(answer?.retryAfterMs ?? 0, TRY_AGAIN_MS));
