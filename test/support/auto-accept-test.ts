import { AutoAcceptService } from "../../src/features/auto-accept/auto-accept.service.js";
import type { EvidenceView } from "../../src/features/reviews/evidence/evidence.views.js";
import { startTestApp, type TestApp } from "./app.js";
import { uploadDemoRun } from "./demo-run.js";

export type Headers = { authorization: string };
type Method = "GET" | "POST" | "PUT" | "DELETE";

export const POLICY = {
  enabled: true,
  moderatorAcceptances: 1,
  noRejectionDays: 30,
  accountDays: 0,
  otherTesters: 2,
  maxDeviationPercent: 5,
  maxPerDay: 2,
  sampleOneIn: 1000,
  reason: "The queue is long.",
};

/** A service whose moderators are asked less often: three accepted runs of a pack, and a fourth that is like them. */
export class AutoAcceptTest {
  private constructor(
    readonly app: TestApp,
    readonly administrator: Headers,
    readonly mona: Headers,
    readonly slipstream: Headers,
  ) {}

  /** The fourth run, by slipstream, of whom no run is accepted yet. */
  run = "";

  static async start(): Promise<AutoAcceptTest> {
    const app = await startTestApp();
    const administrator = await app.signIn("ada", "administrator");
    const mona = await app.signIn("mona", "moderator");
    const slipstream = await app.signIn("slipstream");
    const test = new AutoAcceptTest(app, administrator, mona, slipstream);
    for (const [handle, key] of [
      ["keelbench", "run-06"],
      ["gravelnotes", "run-07"],
      ["tidewatch", "run-08"],
    ] as const) {
      await test.accept(await uploadDemoRun(app, await app.signIn(handle), key));
    }
    test.run = await uploadDemoRun(app, slipstream, "run-09");
    return test;
  }

  ask(method: Method, url: string, headers: Headers, payload?: object) {
    return this.app.inject({ method, url, headers, ...(payload ? { payload } : {}) });
  }

  async accept(id: string): Promise<void> {
    const decision = { decision: "accept", rules: [], note: "Looked at." };
    const { statusCode, body } = await this.ask("POST", `/v1/runs/${id}/reviews`, this.mona, decision);
    if (statusCode !== 201) throw new Error(`the run was not accepted: ${body}`);
  }

  async setPolicy(more: object): Promise<void> {
    const policy = { ...POLICY, ...more };
    const { statusCode, body } = await this.ask("PUT", "/v1/auto-accept-policy", this.administrator, policy);
    if (statusCode !== 200) throw new Error(`the policy was not set: ${body}`);
  }

  consider(id: string): Promise<boolean> {
    return this.app.nest.get(AutoAcceptService).consider(id);
  }

  async reviewOf(id: string): Promise<string> {
    return (await this.ask("GET", `/v1/runs/${id}`, this.mona)).json<{ review: string }>().review;
  }

  async evidenceOf(id: string): Promise<EvidenceView> {
    return (await this.ask("GET", `/v1/reviews/${id}/evidence/full`, this.mona)).json<EvidenceView>();
  }

  async unmet(id = this.run): Promise<string[]> {
    return (await this.evidenceOf(id)).acceptance.terms.filter(({ met }) => !met).map(({ term }) => term);
  }

  /** A change to what the record holds, which the record itself refuses. */
  async tamper(statement: string): Promise<void> {
    await this.app.database.$transaction(async (tx) => {
      await tx.$executeRawUnsafe("SET LOCAL session_replication_role = replica");
      await tx.$executeRawUnsafe(statement);
    });
  }
}
