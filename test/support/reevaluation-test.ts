import { setTimeout as delay } from "node:timers/promises";
import type { StandingView } from "../../src/features/rankings/rankings.views.js";
import type { ReevaluationView } from "../../src/features/reevaluations/reevaluations.views.js";
import { startTestApp, type TestApp } from "./app.js";
import { uploadCase } from "./uploads.js";

export type Headers = { authorization: string };

/** Logs at 20, 10 and 25 Hz, of three packs. */
export const CASES = { Alpha: "plain-20hz", Beta: "truth-4s-10hz", Gamma: "jitter-25hz" } as const;

/** A service with three accepted runs, one of each pack of `CASES`, and who re-evaluates them. */
export interface ReevaluationTest {
  readonly app: TestApp;
  readonly anna: Headers;
  /** Ids of runs by name. */
  readonly runs: Record<string, string>;
  post(url: string, payload: object, headers?: Headers): ReturnType<typeof send>;
  get<T>(url: string, headers?: Headers): Promise<T>;
  decide(name: string, decision: string): ReturnType<typeof send>;
  ranking(): Promise<StandingView[]>;
  /** Whether a version of full-load is the active one. */
  isActive(version: number): Promise<boolean>;
  /** Begins a re-evaluation of full-load and waits for its end. */
  reevaluate(input: object): Promise<{ location: unknown; ended: ReevaluationView }>;
  untilEnded(id: string): Promise<ReevaluationView>;
}

export async function startReevaluationTest(): Promise<ReevaluationTest> {
  const app = await startTestApp();
  const admin = await app.signIn("ada", "administrator");
  const moderator = await app.signIn("mona", "moderator");
  const anna = await app.signIn("anna");
  const runs: Record<string, string> = {};
  const get = async <T>(url: string, headers = admin): Promise<T> => (await app.inject({ url, headers })).json<T>();
  const post = (url: string, payload: object, headers = admin) => send(app, url, payload, headers);
  const decide = (name: string, decision: string) =>
    post(`/v1/runs/${runs[name]}/reviews`, { decision, rules: [], note: "Looked at." }, moderator);
  async function untilEnded(id: string): Promise<ReevaluationView> {
    for (;;) {
      const found = await get<ReevaluationView>(`/v1/reevaluations/${id}`);
      if (found.state !== "evaluating") return found;
      await delay(20);
    }
  }
  for (const [pack, name] of Object.entries(CASES)) {
    const { body } = await uploadCase(app, anna, pack, name);
    runs[pack] = body.id;
    const accepted = await decide(pack, "accept");
    if (accepted.statusCode !== 201) throw new Error(`the run of ${pack} was not accepted: ${accepted.body}`);
  }
  return {
    app,
    anna,
    runs,
    get,
    post,
    decide,
    untilEnded,
    ranking: async () => (await get<{ items: StandingView[] }>("/v1/rankings/power-10s?standing=all")).items,
    async isActive(version) {
      const { body } = await app.graphql(`{ protocol(key: "full-load", version: ${version}) { active } }`);
      return (body.data as { protocol: { active: boolean } }).protocol.active;
    },
    async reevaluate(input) {
      const started = await post("/v1/reevaluations", { protocol: "full-load", ...input });
      if (started.statusCode !== 202) throw new Error(`it was not started: ${started.body}`);
      const { id } = started.json<ReevaluationView>();
      return { location: started.headers.location, ended: await untilEnded(id) };
    },
  };
}

const send = (app: TestApp, url: string, payload: object, headers: Headers) =>
  app.inject({ method: "POST", url, payload, headers });
