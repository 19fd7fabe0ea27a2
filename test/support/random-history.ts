import { randomUUID } from "node:crypto";
import type { TestApp } from "./app.js";
import { type Reading, StoredRuns } from "./stored-runs.js";

type Headers = { authorization: string };
type Deed = readonly [name: string, act: () => Promise<unknown>];

const PACKS = ["Sprint", "Ridge", "Delta", "Gannet", "Shrike"];
const BENCH = {
  label: "bench",
  loadKind: "throttle",
  voltagePercent: 0.1,
  voltageOffset: 0.005,
  currentPercent: 0.5,
  currentOffset: 0.1,
  sensePoint: "pack",
};
const DAY_MS = 86_400_000;
const TESTERS = ["anna", "bert", "cleo", "dora"];

/** Numbers from 0 to below 1, the same for the same seed (mulberry32, from memory). */
function randomFrom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** Lets testers and moderators do one thing after another, by chance. */
export class RandomHistory {
  readonly handles: string[] = [];
  readonly erased: string[] = [];
  private readonly accepted: string[] = [];
  private readonly rejected: string[] = [];
  private readonly runs: StoredRuns;
  private readonly random: () => number;
  private readonly sessions = new Map<string, Headers>();
  private packs: string[] = [];
  private hidden: string[] = [];
  private readonly merged: string[] = [];
  private readonly sealed: string[] = [];
  private readonly done = new Set<string>();
  private names = 0;
  private steps = 0;

  private constructor(
    private readonly app: TestApp,
    private readonly mona: Headers,
    seed: number,
  ) {
    this.runs = new StoredRuns(app);
    this.random = randomFrom(seed);
  }

  static async begin(app: TestApp, seed: number): Promise<RandomHistory> {
    const history = new RandomHistory(app, await app.signIn("mona", "moderator"), seed);
    for (const handle of TESTERS) await history.join(handle);
    for (const name of PACKS) await history.register(name);
    return history;
  }

  /** Does one thing, waits until what follows from it is done, and says what it was. */
  async step(): Promise<string> {
    const deeds = this.deeds();
    const anyOf = () => this.one(deeds);
    // A third of all are new runs, so that there is always something to decide on; each kind is done once before long.
    const undone = deeds.find(([name]) => !this.done.has(name));
    const deed = this.steps++ % 3 === 0 ? (deeds[0] as Deed) : (undone ?? anyOf());
    this.done.add(deed[0]);
    await deed[1]();
    await this.runs.settled();
    return `${this.steps}: ${deed[0]}`;
  }

  /** A run that nobody has decided on. Returns its id. */
  async uploadUndecided(): Promise<string> {
    const id = randomUUID();
    const { database } = this.app;
    const like = await database.run.findFirstOrThrow({ where: { review: "accepted" } });
    const { specimenId, benchId, testerId, protocolKey, protocolVersion, logSha256 } = like;
    const own = { id, fileName: "log.csv", discharge: 7 };
    await database.run.create({
      data: { specimenId, benchId, testerId, protocolKey, protocolVersion, logSha256, ...own },
    });
    await database.run.update({ where: { id }, data: { review: "info-requested" } });
    return id;
  }

  /** A run that was evaluated and waits for a moderator. Returns its id. */
  addWaiting(): Promise<string> {
    const reading = { power: 0.8 + 0.4 * this.random(), capacity: 0.9 + 0.2 * this.random() };
    return this.runs.addUndecided(this.one(this.handles), this.one(this.packs), { reading });
  }

  /** Withdraws a run on which nobody has decided. */
  withdrawWaiting(runId: string): Promise<void> {
    return this.runs.withdraw(runId, "pending");
  }

  /** Every tester measures every pack, and a moderator vouches for all of them, so that standings are established. */
  async measureAll(): Promise<void> {
    for (const name of this.packs) {
      const power = 0.9 + 0.2 * this.random();
      for (const handle of this.handles) this.accepted.push(await this.runs.add(handle, name, { power }));
    }
    for (const handle of this.handles) {
      await this.ask("POST", `/v1/testers/${handle}/vouch`, { note: "A known bench." });
    }
    await this.runs.settled();
  }

  /** Results that leave what was confirmed of one pack, and one of a trusted tester that lies far from the others' of another. */
  async departFromOthers(): Promise<void> {
    const [left, doubted] = this.packs as [string, string];
    for (const handle of this.handles) await this.runs.add(handle, left, { power: 1.3 });
    await this.join("stranger");
    await this.ask("POST", "/v1/testers/stranger/vouch", { note: "A known bench." });
    await this.runs.add("stranger", doubted, { power: 1.5 });
    await this.runs.settled();
  }

  /** The header fields with which a tester's requests are sent. */
  sessionOf(handle: string): Headers {
    return this.sessions.get(handle) as Headers;
  }

  /** Withdraws a run and erases an account. Returns the handle that was erased. */
  async withdrawAndErase(): Promise<string> {
    await this.decide(this.accepted, "withdraw");
    await this.erase();
    await this.runs.settled();
    return this.erased.at(-1) as string;
  }

  private deeds(): readonly Deed[] {
    const all: readonly (Deed | false)[] = [
      ["accept a run", () => this.add()],
      this.accepted.length > 2 && ["reject a run", () => this.decide(this.accepted, "reject")],
      this.accepted.length > 2 && ["withdraw a run", () => this.decide(this.accepted, "withdraw")],
      this.rejected.length > 0 && ["accept a rejected run", () => this.decide(this.rejected, "accept")],
      this.packs.length > 3 && ["hide a pack", () => this.hide()],
      this.hidden.length > 0 && ["show a pack", () => this.show()],
      this.packs.length > 3 && this.steps > 6 && ["merge packs", () => this.merge()],
      this.merged.length > 0 && ["undo a merge", () => this.undoMerge()],
      this.accepted.length > 2 && ["move a run to another pack", () => this.moveToPack()],
      this.accepted.length > 2 && ["move a run to another specimen", () => this.moveToSpecimen()],
      ["withdraw a run that does not conform", () => this.withdrawNonconforming()],
      ["withdraw a run in a sealed round", () => this.withdrawSealed()],
      this.sealed.length > 0 && ["close a sealed round", () => this.closeRound()],
      ["correct a pack", () => this.correct()],
      ["vouch", () => this.vouch()],
      this.handles.length > 2 && this.steps > 6 && ["erase an account", () => this.erase()],
      ["relabel a specimen", () => this.relabel()],
    ];
    return all.filter((deed): deed is Deed => deed !== false);
  }

  private async join(handle: string): Promise<void> {
    const headers = await this.app.signIn(handle);
    const { id } = await this.app.database.account.findFirstOrThrow({ where: { handle } });
    const bench = await this.app.database.bench.create({ data: { ownerId: id, ...BENCH } });
    this.runs.adopt(handle, id, bench.id);
    this.sessions.set(handle, headers);
    this.handles.push(handle);
  }

  private async register(name: string): Promise<void> {
    await this.runs.pack(name);
    this.packs.push(name);
  }

  private one<T>(items: readonly T[]): T {
    return items[Math.floor(this.random() * items.length)] as T;
  }

  private take<T>(items: T[]): T {
    return items.splice(Math.floor(this.random() * items.length), 1)[0] as T;
  }

  private async add(): Promise<void> {
    const reading: Reading = { power: 0.99 + 0.02 * this.random() };
    this.accepted.push(await this.runs.add(this.one(this.handles), this.one(this.packs), reading));
  }

  private async decide(from: string[], how: "accept" | "reject" | "withdraw"): Promise<void> {
    const id = this.take(from);
    await this.runs[how](id);
    if (how === "reject") this.rejected.push(id);
    if (how === "accept") this.accepted.push(id);
  }

  private async hide(): Promise<void> {
    const name = this.take(this.packs);
    this.hidden.push(name);
    await this.ask("POST", `/v1/packs/${await this.runs.pack(name)}/hiding`, { reason: "No such pack." });
  }

  private async show(): Promise<void> {
    const name = this.take(this.hidden);
    this.packs.push(name);
    await this.ask("DELETE", `/v1/packs/${await this.runs.pack(name)}/hiding`);
  }

  private async merge(): Promise<void> {
    const name = this.take(this.packs);
    const into = await this.runs.pack(this.one(this.packs));
    await this.ask("POST", `/v1/packs/${await this.runs.pack(name)}/merge`, { into, reason: "The same." });
    this.merged.push(name);
    await this.register(`Heir ${++this.names}`);
  }

  private async undoMerge(): Promise<void> {
    const name = this.take(this.merged);
    await this.ask("DELETE", `/v1/packs/${await this.runs.pack(name)}/merge`);
    this.packs.push(name);
  }

  /** Its log is evaluated anew with the other pack; there is nothing in it, so the run is pending again. */
  private async moveToPack(): Promise<void> {
    const run = await this.movable();
    const packs = await Promise.all(this.packs.map((name) => this.runs.pack(name)));
    const packId = this.one(packs.filter((id) => id !== run.packId));
    await this.ask("PATCH", `/v1/runs/${run.id}`, { packId, note: "Two bags side by side." });
    this.accepted.splice(this.accepted.indexOf(run.id), 1);
  }

  private async moveToSpecimen(): Promise<void> {
    const { id, testerId: ownerId, packId } = await this.movable();
    const label = `no. ${++this.names + 1}`;
    const specimen = await this.app.database.specimen.create({
      data: { ownerId, packId: packId as string, label, cycles: 5 },
    });
    await this.ask("PATCH", `/v1/runs/${id}`, { specimenId: specimen.id });
  }

  private movable() {
    const where = { id: { in: this.accepted }, tester: { erasedAt: null } };
    return this.app.database.run.findFirstOrThrow({ where, orderBy: { createdAt: "desc" } });
  }

  /** Of a tester who has done nothing else. */
  private async withdrawNonconforming(): Promise<void> {
    const handle = `beginner-${++this.names}`;
    await this.join(handle);
    const id = await this.runs.addUndecided(handle, this.one(this.packs), { verdict: "nonconforming" });
    await this.runs.withdraw(id, "pending");
  }

  private async withdrawSealed(): Promise<void> {
    const name = `Sealed ${++this.names}`;
    const [handle, later] = [`sealed-${this.names}`, new Date(Date.now() + 2 * DAY_MS).toISOString()];
    await this.join(handle);
    await this.register(name);
    await this.ask("POST", `/v1/packs/${await this.runs.pack(name)}/sealed-round`, {
      closesAt: later,
      note: "A new pack.",
    });
    await this.runs.withdraw(await this.runs.addUndecided(handle, name, {}), "pending");
    this.packs = this.packs.filter((one) => one !== name);
    this.sealed.push(name);
  }

  private async closeRound(): Promise<void> {
    const name = this.take(this.sealed);
    const packId = await this.runs.pack(name);
    const times = { opensAt: new Date(Date.now() - DAY_MS), closesAt: new Date(Date.now() - 1) };
    await this.app.database.sealedRound.update({ where: { packId }, data: times });
    await this.app.database.$queryRaw`
      SELECT graphile_worker.reschedule_jobs(array_agg(id), run_at => now())::text FROM graphile_worker.jobs
      WHERE key = ${`close-sealed-round:${packId}`}`;
    this.packs.push(name);
  }

  private async correct(): Promise<void> {
    const change = { connector: `plug ${++this.names}`, reason: "As printed." };
    await this.ask("PATCH", `/v1/packs/${await this.runs.pack(this.one(this.packs))}`, change);
  }

  private async vouch(): Promise<void> {
    await this.ask("POST", `/v1/testers/${this.one(this.handles)}/vouch`, { note: "A known bench." });
  }

  private async erase(): Promise<void> {
    const handle = this.take(this.handles);
    this.erased.push(handle);
    await this.ask("POST", "/v1/accounts/me/erasure", { password: "correct horse battery" }, this.sessions.get(handle));
    await this.join(`heir-${++this.names}`);
  }

  private async relabel(): Promise<void> {
    const label = `no. ${++this.names + 1}`;
    const specimen = await this.app.database.specimen.findFirst({ where: { owner: { erasedAt: null } } });
    if (specimen) await this.app.database.specimen.update({ where: { id: specimen.id }, data: { label } });
  }

  private async ask(
    method: "POST" | "PATCH" | "DELETE",
    url: string,
    payload?: object,
    headers: Headers = this.mona,
  ): Promise<void> {
    const answer = await this.app.inject({ method, url, headers, ...(payload ? { payload } : {}) });
    if (answer.statusCode >= 300) throw new Error(`${method} ${url}: ${answer.statusCode} ${answer.body}`);
  }
}
