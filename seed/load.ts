import { setTimeout as wait } from "node:timers/promises";
import { type Answer, Client, textOf } from "./client.js";
import { keepPasswords } from "./passwords.js";
import {
  BENCHES,
  type BenchKey,
  MODERATORS,
  PACKS,
  type PackKey,
  produceRun,
  RUNS,
  type ScenarioRun,
  TESTERS,
  type TesterHandle,
} from "./scenario.js";

export type DemoStage = "accounts" | "packs" | "runs" | "evaluation" | "reviews";

export interface DemoOptions {
  /** Folder that keeps this installation's passwords of the demo's accounts. */
  readonly stateFolder: string;
  /** Roles are granted beside the public API. Called for each moderator on every load. */
  readonly grantRole: (handle: string, role: "moderator") => Promise<void>;
  readonly onProgress?: (progress: { stage: DemoStage; done: number; total: number }) => void;
  /** Longest wait for the evaluation of one run, and for its comparison with the others. @default 120 */
  readonly evaluationSeconds?: number;
}

export interface DemoResult {
  readonly packs: number;
  readonly runs: number;
  /** Runs whose verdict is not the one that the scenario meant. */
  readonly unexpectedVerdicts: readonly { readonly run: string; readonly verdict: string }[];
}

interface Finding {
  readonly rule: string;
  readonly severity: string;
  readonly outcome: string;
}

interface RunBody {
  readonly id: string;
  readonly state: string;
  readonly error: unknown;
  readonly review: string;
  readonly conformance: { readonly verdict: string; readonly findings: readonly Finding[] } | null;
}

/** Slipstream is left to be established by the own results. */
const VOUCHED: readonly TesterHandle[] = ["keelbench", "gravelnotes", "tidewatch", "hairpin"];

const MODERATOR_NOTES = {
  accept: "Conditions, load and cutoff look right.",
  reject: "Please repeat the run with what the findings name put right.",
  "request-info": "Is the declared rest a slip of the pen, or was the pack loaded this soon after charging?",
};

/**
 * Fills a running service with the demo, through its public API alone. What an earlier, interrupted load left is
 * reused: the service answers a second registration with the existing thing, and the same log with its run.
 */
export async function loadDemo(baseUrl: string, options: DemoOptions): Promise<DemoResult> {
  return new DemoLoad(new Client(baseUrl), options).load();
}

class DemoLoad {
  private readonly tokens = new Map<string, string>();
  private readonly packIds = new Map<PackKey, string>();
  private readonly specimenIds = new Map<string, string>();
  private readonly benchIds = new Map<BenchKey, string>();
  private uploaded = 0;
  private evaluated = 0;

  constructor(
    private readonly client: Client,
    private readonly options: DemoOptions,
  ) {}

  private get patienceSeconds(): number {
    return this.options.evaluationSeconds ?? 120;
  }

  async load(): Promise<DemoResult> {
    await this.signIn();
    await this.registerPacks();
    await this.registerBenches();
    await this.vouch();
    const isCopy = ({ copyOf }: ScenarioRun) => copyOf !== null;
    const runs = await this.awaitEvaluations(await this.upload(RUNS.filter((run) => !isCopy(run))));
    await this.review(runs);
    // What looks like a copy holds up its original too: it comes when that was accepted.
    const copies = await this.awaitEvaluations(await this.upload(RUNS.filter(isCopy)));
    for (const [run, body] of copies) runs.set(run, body);
    const verdictOf = (run: ScenarioRun) => runs.get(run)?.conformance?.verdict ?? "none";
    const unexpected = RUNS.filter((run) => run.conforming === (verdictOf(run) === "nonconforming"));
    return {
      packs: this.packIds.size,
      runs: runs.size,
      unexpectedVerdicts: unexpected.map((run) => ({ run: run.key, verdict: verdictOf(run) })),
    };
  }

  private async signIn(): Promise<void> {
    const handles = [...Object.keys(TESTERS), ...MODERATORS];
    const passwords = await keepPasswords(this.options.stateFolder, handles);
    for (const [index, handle] of handles.entries()) {
      const json = { handle, password: passwords[handle] };
      await this.client.request("POST", "/v1/accounts", { json, expect: [201, 200, 409] });
      if (MODERATORS.some((moderator) => moderator === handle)) await this.options.grantRole(handle, "moderator");
      const session = await this.client.request("POST", "/v1/sessions", { json, expect: [201, 401] });
      if (session.status === 401) {
        throw new Error(`The account ${handle} exists with another password than the one kept in the demo's folder`);
      }
      this.tokens.set(handle, textOf(session, "token"));
      this.report("accounts", index + 1, handles.length);
    }
  }

  private async registerPacks(): Promise<void> {
    const keys = Object.keys(PACKS) as PackKey[];
    for (const [index, key] of keys.entries()) {
      const { trueCapacityShare, resistanceMilliohmAh, ...label } = PACKS[key];
      const tester = RUNS.find((run) => run.pack === key)?.tester ?? "keelbench";
      const id = await this.register("/v1/packs", tester, label);
      this.packIds.set(key, id);
      const json = { checked: ["label", "mass"], reason: "Label and scale of the first specimen." };
      const token = this.tokenOf(MODERATORS[0]);
      await this.client.request("POST", `/v1/packs/${id}/confirmation`, { json, token, expect: [200] });
      this.report("packs", index + 1, keys.length);
    }
  }

  /** Moderators vouch for the testers whose benches they know: without three of them no standing is established. */
  private async vouch(): Promise<void> {
    const token = this.tokenOf(MODERATORS[0]);
    const json = { note: "The bench was compared with ours on three packs." };
    for (const handle of VOUCHED) {
      await this.client.request("POST", `/v1/testers/${handle}/vouch`, { json, token, expect: [200] });
    }
  }

  private async registerBenches(): Promise<void> {
    for (const [tester, benches] of Object.entries(TESTERS)) {
      for (const key of benches) {
        const { label, facts } = BENCHES[key];
        this.benchIds.set(key, await this.register("/v1/benches", tester, { label, ...facts }));
      }
    }
  }

  private async specimenOf(run: ScenarioRun): Promise<string> {
    const key = `${run.tester} ${run.pack}`;
    const known = this.specimenIds.get(key);
    if (known !== undefined) return known;
    const cycles = Math.min(...RUNS.filter((r) => `${r.tester} ${r.pack}` === key).map((r) => r.cycles));
    const json = { packId: this.packIds.get(run.pack), label: `${PACKS[run.pack].name} no. 1`, cycles };
    const id = await this.register("/v1/specimens", run.tester, json);
    this.specimenIds.set(key, id);
    return id;
  }

  private async upload(runs: readonly ScenarioRun[]): Promise<Map<ScenarioRun, string>> {
    const ids = new Map<ScenarioRun, string>();
    for (const run of runs) {
      const { fileName, mediaType, log, ...conditions } = produceRun(run);
      const form = new FormData();
      const ofRun = { specimenId: await this.specimenOf(run), benchId: this.benchIds.get(run.bench) };
      form.append("run", JSON.stringify({ protocol: run.protocol, ...ofRun, ...conditions }));
      form.append("log", new Blob([Uint8Array.from(log)], { type: mediaType }), fileName);
      const token = this.tokenOf(run.tester);
      const answer = await this.client.request("POST", "/v1/runs", { token, form, expect: [200, 201, 202] });
      ids.set(run, textOf(answer, "id"));
      this.uploaded += 1;
      this.report("runs", this.uploaded, RUNS.length);
    }
    return ids;
  }

  private async awaitEvaluations(ids: ReadonlyMap<ScenarioRun, string>): Promise<Map<ScenarioRun, RunBody>> {
    const runs = new Map<ScenarioRun, RunBody>();
    for (const [run, id] of ids) {
      const deadline = Date.now() + 1000 * this.patienceSeconds;
      let body = await this.readRun(id, run.tester);
      while (body.state !== "processed") {
        if (body.state === "failed") throw new Error(`${run.key} failed: ${JSON.stringify(body.error)}`);
        if (Date.now() > deadline) throw new Error(`${run.key} is still ${body.state}`);
        await wait(200);
        body = await this.readRun(id, run.tester);
      }
      runs.set(run, body);
      this.evaluated += 1;
      this.report("evaluation", this.evaluated, RUNS.length);
    }
    return runs;
  }

  private async review(runs: ReadonlyMap<ScenarioRun, RunBody>): Promise<void> {
    const due = [...runs].flatMap(([run, body]) => {
      const decision = decisionOn(run, body);
      return decision === null ? [] : [{ body, decision }];
    });
    for (const [index, { body, decision }] of due.entries()) {
      const token = this.tokenOf(MODERATORS[index % MODERATORS.length] as string);
      const json = { decision, rules: failedRules(body), note: MODERATOR_NOTES[decision] };
      // A run is evaluated before it has been compared with the others, and can be decided on after.
      const passing = { problem: "decision-not-possible", seconds: this.patienceSeconds };
      await this.client.request("POST", `/v1/runs/${body.id}/reviews`, { token, json, expect: [200, 201], passing });
      this.report("reviews", index + 1, due.length);
    }
  }

  private async readRun(id: string, tester: TesterHandle): Promise<RunBody> {
    const answer = await this.client.request("GET", `/v1/runs/${id}`, { token: this.tokenOf(tester), expect: [200] });
    return answer.body as unknown as RunBody;
  }

  /** The id of a new thing, or of the one that stands in its way. */
  private async register(path: string, handle: string, json: unknown): Promise<string> {
    const token = this.tokenOf(handle);
    const answer: Answer = await this.client.request("POST", path, { token, json, expect: [200, 201, 409] });
    return textOf(answer, answer.status === 409 ? "existingId" : "id");
  }

  private tokenOf(handle: string): string {
    const token = this.tokens.get(handle);
    if (token === undefined) throw new Error(`${handle} has not signed in`);
    return token;
  }

  private report(stage: DemoStage, done: number, total: number): void {
    this.options.onProgress?.({ stage, done, total });
  }
}

/** What a moderator decides now: nothing on a run that waits on purpose, was decided, or is not what was planned. */
function decisionOn({ review }: ScenarioRun, body: RunBody): keyof typeof MODERATOR_NOTES | null {
  if (review === "wait" || body.review !== "pending") return null;
  if (review === "accept" && body.conformance?.verdict === "nonconforming") return null;
  return review;
}

function failedRules({ conformance }: RunBody): string[] {
  const findings = conformance?.findings ?? [];
  return findings.filter(({ severity, outcome }) => severity === "required" && outcome !== "pass").map((f) => f.rule);
}
