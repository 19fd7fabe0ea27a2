import { setTimeout as delay } from "node:timers/promises";
import { AMBIENT_C, BENCH, logNumber } from "../durability/league-logs.js";
import { Asker } from "../faults/asker.js";
import { PACK, productOf } from "../support/facts.js";

const PASSWORD = "a long enough secret";
const TESTERS = ["anna", "bert", "cleo"];
const CAPACITY_MAH = 1_300;
/** Numbers of logs at the lowest rate, which are short. */
const LOG_NUMBERS = [3, 7, 11, 15, 19];
const LOOK_MS = 250;

interface Tester {
  readonly token: string;
  readonly benchId: string;
  readonly specimenId: string;
}

/**
 * Fills an empty service with a little of everything that has to outlive an upgrade: accounts and roles, a pack, accepted runs of three
 * testers, and one run each that was rejected and withdrawn.
 */
export async function fill(url: string, setupToken: string): Promise<void> {
  const service = new Service(url);
  await service.post("/v1/administrators", { token: setupToken, handle: "ada", password: PASSWORD });
  for (const handle of [...TESTERS, "mona"]) await service.post("/v1/accounts", { handle, password: PASSWORD });
  const mona = await service.signIn("mona");
  const { id } = await service.ask("/v1/accounts/me", mona);
  const role = { role: "moderator", reason: "Decides on the runs." };
  await service.ask(`/v1/accounts/${id}/role`, await service.signIn("ada"), { method: "PUT", json: role });
  const { id: packId } = await service.post("/v1/packs", product(), await service.signIn("anna"));
  const testers: Tester[] = [];
  for (const handle of TESTERS) testers.push(await service.equip(handle, String(packId)));
  const accepted: string[] = [];
  for (const [i, tester] of testers.entries()) accepted.push(await service.upload(tester, LOG_NUMBERS[i] as number));
  for (const run of accepted) await service.decide(mona, run, "accept");
  const [anna, bert] = testers as [Tester, Tester];
  await service.decide(mona, await service.upload(anna, LOG_NUMBERS[3] as number), "reject");
  const withdrawn = await service.upload(bert, LOG_NUMBERS[4] as number);
  await service.ask(`/v1/runs/${withdrawn}`, bert.token, { method: "DELETE" });
}

const product = () => productOf("Keel", { ...PACK, massGrams: null, ratedCapacityMah: CAPACITY_MAH });

class Service {
  private readonly asker: Asker;

  constructor(url: string) {
    this.asker = new Asker(url);
  }

  async ask(path: string, token: string, asked: object = {}): Promise<Readonly<Record<string, unknown>>> {
    for (;;) {
      const answer = await this.asker.ask(path, { ...asked, ...(token && { token }) });
      if (answer && answer.status < 300) return answer.body;
      // The setup token stands some moments after the start, and a run is compared with others before it is decided on.
      if (!answer || ![401, 409].includes(answer.status) || answer.body.existingId) {
        throw new Error(`${path} was answered ${answer?.status}: ${JSON.stringify(answer?.body)}`);
      }
      await delay(LOOK_MS);
    }
  }

  post(path: string, json: object, token = "") {
    return this.ask(path, token, { method: "POST", json });
  }

  async signIn(handle: string): Promise<string> {
    return String((await this.post("/v1/sessions", { handle, password: PASSWORD })).token);
  }

  async equip(handle: string, packId: string): Promise<Tester> {
    const token = await this.signIn(handle);
    const bench = await this.post("/v1/benches", { ...BENCH, label: "Bench" }, token);
    const specimen = await this.post("/v1/specimens", { packId, label: "no. 1", cycles: 12 }, token);
    return { token, benchId: String(bench.id), specimenId: String(specimen.id) };
  }

  /** Returns the run's id once it is evaluated. */
  async upload({ token, ...ids }: Tester, number: number): Promise<string> {
    const form = new FormData();
    const conditions = { ambientC: AMBIENT_C, restMinutes: 30, cycles: 12 };
    form.append("run", JSON.stringify({ protocol: "full-load", ...ids, ...conditions }));
    form.append("log", new Blob([logNumber(number, CAPACITY_MAH)], { type: "text/csv" }), `${number}.csv`);
    const { id } = await this.ask("/v1/runs", token, { method: "POST", form });
    for (;;) {
      const { state } = await this.ask(`/v1/runs/${id}`, token);
      if (state === "processed") return String(id);
      if (state === "failed") throw new Error(`run ${id} could not be evaluated`);
      await delay(LOOK_MS);
    }
  }

  async decide(token: string, run: string, decision: "accept" | "reject"): Promise<void> {
    await this.post(`/v1/runs/${run}/reviews`, { decision, rules: [], note: "Looked at." }, token);
  }
}
