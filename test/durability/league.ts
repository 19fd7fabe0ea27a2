import { setTimeout as delay } from "node:timers/promises";
import { Client, textOf } from "../../seed/client.js";
import { PACK, productOf } from "../support/facts.js";
import { AMBIENT_C, BENCH, logNumber } from "./league-logs.js";

/** Handles of those who test. */
const TESTERS = ["anna", "bert", "cleo", "dora"] as const;
const ADMINISTRATOR = "ada";
const MODERATOR = "mona";
type Role = "tester" | "moderator" | "administrator";
/** Capacity of each pack's kind, mAh. */
const CAPACITIES_MAH = [1300, 1500, 1800, 2200, 2600, 3000, 3700, 4200, 5000, 6000];
const UPLOADS_AT_ONCE = 4;
const DECISIONS_AT_ONCE = 50;
const MAX_TRIES = 3_600;
const REST_MINUTES = 30;
const TO_TRY_AGAIN = new Set<string | undefined>(["/problems/decision-not-possible", "/problems/too-busy"]);
const PASSWORD = "a long enough secret";

interface Outcome {
  readonly runId: string;
  readonly problem: { readonly type: string } | null;
}

/** A service with testers, packs and accepted runs, each run a measurement of its own. */
export class League {
  private readonly client: Client;
  private readonly tokens = new Map<string, string>();
  private readonly ids = new Map<string, { specimenId: string; benchId: string }>();

  constructor(readonly url: string) {
    this.client = new Client(url);
  }

  get administrator(): string {
    return this.tokens.get(ADMINISTRATOR) as string;
  }

  /** Registers packs and benches, uploads so many runs and has them accepted; once everybody has registered. */
  async play(runs: number): Promise<void> {
    for (const handle of TESTERS) await this.equip(handle, runs);
    const runIds = await this.uploadAll(runs);
    for (let from = 0; from < runIds.length; from += DECISIONS_AT_ONCE) {
      await this.accept(runIds.slice(from, from + DECISIONS_AT_ONCE));
    }
  }

  async ask(method: "GET" | "POST", path: string, json?: unknown): Promise<Record<string, unknown>> {
    const token = this.administrator;
    const { body } = await this.client.request(method, path, { token, json, expect: [200, 201, 202] });
    return body;
  }

  /** Registers everybody at a service that nobody has registered at. */
  async register(setupToken: string): Promise<void> {
    await this.registerAdministrator(setupToken);
    for (const handle of [...TESTERS, MODERATOR]) {
      await this.client.request("POST", "/v1/accounts", { json: { handle, password: PASSWORD }, expect: [201] });
    }
    await this.signInAll((handle) => this.signIn(handle));
    const mona = await this.client.request("GET", "/v1/accounts/me", { token: this.token(MODERATOR), expect: [200] });
    await this.client.request("PUT", `/v1/accounts/${textOf(mona, "id")}/role`, {
      token: this.administrator,
      json: { role: "moderator", reason: "Decides on the runs." },
      expect: [200],
    });
  }

  /** @param signIn the token of a session of somebody who is registered, in the role that they have here */
  async signInAll(signIn: (handle: string, role: Role) => Promise<string>): Promise<void> {
    const roles: Record<string, Role> = { [ADMINISTRATOR]: "administrator", [MODERATOR]: "moderator" };
    for (const handle of [ADMINISTRATOR, ...TESTERS, MODERATOR]) {
      this.tokens.set(handle, await signIn(handle, roles[handle] ?? "tester"));
    }
  }

  /** The token stands some moments after the service has begun to answer. */
  private async registerAdministrator(token: string): Promise<void> {
    const json = { token, handle: ADMINISTRATOR, password: PASSWORD };
    for (let tries = 0; tries < MAX_TRIES; tries++) {
      const { status } = await this.client.request("POST", "/v1/administrators", { json, expect: [201, 401] });
      if (status === 201) return;
      await delay(250);
    }
    throw new Error("the first administrator could not register");
  }

  private async signIn(handle: string): Promise<string> {
    const session = await this.client.request("POST", "/v1/sessions", {
      json: { handle, password: PASSWORD },
      expect: [201],
    });
    return textOf(session, "token");
  }

  private token(handle: string): string {
    return this.tokens.get(handle) as string;
  }

  /** With what so many runs are of. */
  private async equip(tester: string, runs: number): Promise<void> {
    const post = async (path: string, json: object) => {
      const answer = await this.client.request("POST", path, { token: this.token(tester), json, expect: [201, 409] });
      return textOf(answer, answer.status === 409 ? "existingId" : "id");
    };
    const benchId = await post("/v1/benches", { ...BENCH, label: "Bench" });
    for (const ratedCapacityMah of CAPACITIES_MAH.slice(0, Math.ceil(runs / TESTERS.length))) {
      const pack = { ...PACK, massGrams: null, ratedCapacityMah };
      const packId = await post("/v1/packs", productOf(`Row ${ratedCapacityMah}`, pack));
      const specimenId = await post("/v1/specimens", { packId, label: "no. 1", cycles: 12 });
      this.ids.set(`${tester} ${ratedCapacityMah}`, { specimenId, benchId });
    }
  }

  private async uploadAll(runs: number): Promise<string[]> {
    const ids: string[] = [];
    let next = 0;
    const uploadOn = async () => {
      while (next < runs) ids.push(await this.upload(next++));
    };
    await Promise.all(Array.from({ length: UPLOADS_AT_ONCE }, uploadOn));
    return ids;
  }

  private async upload(number: number): Promise<string> {
    const tester = TESTERS[number % TESTERS.length] as string;
    const capacityMah = CAPACITIES_MAH[Math.floor(number / TESTERS.length) % CAPACITIES_MAH.length] as number;
    const form = new FormData();
    const conditions = { ambientC: AMBIENT_C, restMinutes: REST_MINUTES, cycles: 12 };
    const run = { protocol: "full-load", ...this.ids.get(`${tester} ${capacityMah}`), ...conditions };
    form.append("run", JSON.stringify(run));
    form.append("log", new Blob([logNumber(number, capacityMah)], { type: "text/csv" }), `${number}.csv`);
    const answer = await this.client.request("POST", "/v1/runs", {
      token: this.token(tester),
      form,
      expect: [201, 202],
    });
    return textOf(answer, "id");
  }

  /** Accepts runs; those that are still compared with the others when it is their turn are tried again. */
  private async accept(runIds: readonly string[]): Promise<void> {
    let left = runIds;
    for (let tries = 0; left.length > 0; tries++) {
      if (tries === MAX_TRIES) throw new Error(`${left.length} runs could not be accepted`);
      left = await this.acceptOnce(left);
    }
  }

  /** Returns the runs that it is too early for, and those that there was no time for. */
  private async acceptOnce(runIds: readonly string[]): Promise<string[]> {
    const json = { runIds, decision: "accept", rules: [], note: "Looked at." };
    const { body } = await this.client.request("POST", "/v1/reviews", {
      token: this.token(MODERATOR),
      json,
      expect: [200],
    });
    const refused = (body.items as Outcome[]).filter(({ problem }) => problem !== null);
    const other = refused.find(({ problem }) => !TO_TRY_AGAIN.has(problem?.type));
    if (other) throw new Error(`a run was not accepted: ${JSON.stringify(other)}`);
    return refused.map(({ runId }) => runId);
  }
}
