import { SetupService } from "../../src/features/accounts/setup/setup.service.js";
import { CopiesService } from "../../src/features/copies/copies.service.js";
import { ScoresService } from "../../src/features/reviews/queue/scores.service.js";
import { LADDER_BENCH, LADDER_PACK, ladderStepLog } from "../support/ladder-step.js";
import type { MailServer } from "../support/mail-server.js";
import { nextFullLoad } from "../support/protocols.js";
import { newClient, type SignInTest } from "../support/sign-in-test.js";
import { logCase } from "../support/uploads.js";
import { type Headers, type Item, PASSWORD, RecordingClient } from "./client.js";
import { beMailed, beTalkedTo, beTold } from "./notices-scene.js";
import { predict } from "./prediction-scene.js";
import { takeTheRecordAway } from "./record-scene.js";
import type { Recorder } from "./recorder.js";
import { measureUnseen, planAndTakeAway, putRegisterRight } from "./register-scenes.js";
import { decideOnStandings } from "./standings-scene.js";

const NOTE = "The load stayed steady, and the log is complete.";

/** A season of an invented league in some hundred requests, which use every operation of the REST API that answers with a body. */
export async function recordJourney(signIns: SignInTest, mails: MailServer): Promise<Recorder> {
  const journey = new Journey(signIns.app);
  const admin = await journey.administrator();
  const [anna, bert, mona] = [await journey.join("anna"), await journey.join("bert"), await journey.join("mona")];
  await journey.signIns(signIns);
  await journey.ownThings(anna, { admin, mona });
  const runs = await journey.uploads(anna, bert);
  await journey.reviews(runs, { anna, bert, mona });
  await journey.reads(runs, anna);
  await beTold(journey, bert);
  await beTalkedTo(journey, bert);
  await beMailed(journey, mails, bert);
  await putRegisterRight(journey, runs.packs[0], { anna, mona });
  await planAndTakeAway(journey, runs.packs[0], anna);
  await journey.ladder(bert, mona);
  await predict(journey, runs.packs[0], { anna, bert, mona });
  await journey.reevaluation(admin);
  await measureUnseen(journey, { anna, mona });
  await decideOnStandings(journey, mona);
  await takeTheRecordAway(journey);
  const { id } = await journey.post<Item>("/v1/accounts/me/erasure", { password: PASSWORD }, bert);
  if (!id) throw new Error("nobody was erased");
  return journey.recorder;
}

interface Runs {
  readonly first: string;
  readonly second: string;
  readonly third: string;
  readonly packs: readonly [string, string];
}

class Journey extends RecordingClient {
  async administrator(): Promise<Headers> {
    const token = await this.app.nest.get(SetupService).offer(null);
    await this.post("/v1/administrators", { handle: "ada", password: PASSWORD, token });
    return this.open("ada");
  }

  async join(handle: string): Promise<Headers> {
    await this.post("/v1/accounts", { handle, password: PASSWORD });
    return this.open(handle);
  }

  async signIns(signIns: SignInTest): Promise<void> {
    const { verifier, challenge } = newClient();
    const page = await signIns.comeBack(signIns.newBrowser(), "subject-carla", `challenge=${challenge}`);
    const got = { status: 200, type: "application/json", body: page.text };
    this.recorder.keep({ method: "GET", url: "/v1/sign-ins/callback" }, got);
    const { code } = JSON.parse(page.text) as { code: string };
    const { token } = await this.post<{ token: string }>("/v1/sign-ins", { code, verifier, handle: "carla" });
    const headers = { authorization: `Bearer ${token}` };
    const other = await signIns.signIn("subject-clara");
    await this.post("/v1/accounts/me/identities", { ...other, signIn: await signIns.signIn("subject-carla") }, headers);
    await this.get("/v1/accounts/me/identities", headers);
  }

  async ownThings(anna: Headers, { admin, mona }: { admin: Headers; mona: Headers }): Promise<void> {
    for (const url of ["/health/live", "/health/ready"]) await this.get(url);
    await this.get("/v1/accounts", admin);
    const { id: monasId } = await this.get<Item>("/v1/accounts/me", mona);
    const role = { role: "moderator", reason: "She knows her benches." };
    await this.ask({ method: "PUT", url: `/v1/accounts/${monasId}/role`, body: role }, admin);
    await this.get("/v1/sessions", anna);
    const passwords = { password: PASSWORD, newPassword: "battery horse correct" };
    await this.ask({ method: "PUT", url: "/v1/accounts/me/password", body: passwords }, anna);
    await this.post("/v1/keys", { label: "Bench computer", scopes: ["read", "write"] }, anna);
    await this.get("/v1/keys", anna);
    const map = {
      label: "Bench logger",
      header: ["Time [s]", "Pack", "Load"],
      columns: { voltage: { name: "Pack", unit: "V" }, current: { name: "Load", unit: "A" } },
    };
    const { id } = await this.post<Item>("/v1/column-maps", map, anna);
    await this.get(`/v1/column-maps/${id}`, anna);
    await this.get("/v1/column-maps", anna);
    const policy = await this.get<Record<string, unknown>>("/v1/auto-accept-policy", admin);
    const { version: _, setBy: __, setAt: ___, ...terms } = policy;
    const club = { testers: 1, referenceTesters: 1, vouchedOnly: false, reason: "We are a club of three." };
    await this.ask({ method: "PUT", url: "/v1/standing-policy", body: club }, admin);
    await this.get("/v1/standing-policy", admin);
    const body = { ...terms, enabled: false, reason: "To begin with." };
    await this.ask({ method: "PUT", url: "/v1/auto-accept-policy", body }, admin);
    await this.get("/v1/standing-policy/versions", admin);
    await this.get("/v1/auto-accept-policy/versions", admin);
  }

  async uploads(anna: Headers, bert: Headers): Promise<Runs> {
    const sprint = await this.register(anna, "Sprint", logCase("truth-4s-10hz"));
    const ridge = await this.register(bert, "Ridge", logCase("plain-20hz"));
    for (const kind of ["specimens", "benches"] as const) {
      await this.get(`/v1/${kind}`, anna);
      await this.get(`/v1/${kind}/${kind === "benches" ? sprint.benchId : sprint.specimenId}`, anna);
    }
    const first = await this.upload(anna, sprint, "truth-4s-10hz");
    await this.upload(anna, sprint, "truth-4s-10hz");
    const second = await this.upload(bert, ridge, "plain-20hz");
    const third = await this.upload(bert, ridge, "short-dip");
    await this.withoutWaiting(() => this.upload(anna, sprint, "jitter-25hz"));
    await this.check("jitter-25hz");
    await this.batch(anna, sprint, "spikes");
    return { first, second, third, packs: [sprint.packId, ridge.packId] };
  }

  /** Which runs had come when each was first scored is a matter of chance: here all of them had. */
  private async judgeAllNow(): Promise<void> {
    await this.app.database.$executeRaw`
      UPDATE review_score SET stale = true, parts = NULL, judged_evaluation_id = NULL, negated_score = 0`;
    await this.app.nest.get(ScoresService).catchUp();
  }

  async reviews(runs: Runs, { anna, bert, mona }: Record<"anna" | "bert" | "mona", Headers>): Promise<void> {
    await this.idle();
    await this.judgeAllNow();
    await this.get("/v1/reviews", mona);
    await this.get(`/v1/reviews/${runs.first}/evidence`, mona);
    await this.get(`/v1/reviews/${runs.first}/evidence/full`, mona);
    await this.ask({ method: "PUT", url: `/v1/reviews/${runs.first}/claim` }, mona);
    await this.post("/v1/reviews/claims", { runIds: [runs.second, runs.third] }, mona);
    await this.post("/v1/testers/anna/vouch", { note: "Her bench was held against two others." }, mona);
    for (const id of [runs.first, runs.second]) {
      await this.app.nest.get(CopiesService).awaitCheck(id);
      await this.post(`/v1/runs/${id}/reviews`, { decision: "accept", rules: [], note: NOTE }, mona);
    }
    const decision = { runIds: [runs.third], decision: "request-info", rules: [], note: "Which charger was it?" };
    await this.post("/v1/reviews", decision, mona);
    await this.post(`/v1/runs/${runs.third}/answers`, { note: "A bench supply with balancing leads." }, bert);
    const rejection = { decision: "reject", rules: [], note: "The dip looks like a loose lead." };
    await this.post(`/v1/runs/${runs.third}/reviews`, rejection, mona);
    await this.post(`/v1/runs/${runs.third}/appeals`, { note: "The lead was soldered; a photo is on its way." }, bert);
    await this.get("/v1/reviews/decisions", mona);
    await this.get(`/v1/runs/${runs.third}/appeal`, bert);
    await this.get(`/v1/runs/${runs.first}/history`, anna);
    await this.get("/v1/accounts/me/calibration", anna);
  }

  async reads({ first, second, packs }: Runs, anna: Headers): Promise<void> {
    const { items } = await this.get<{ items: { id: string }[] }>(`/v1/runs/${first}/evaluations`, anna);
    const evaluation = items[0]?.id;
    await this.get(`/v1/runs/${first}/evaluations/compare?from=${evaluation}&to=${evaluation}`, anna);
    for (const url of [
      "/v1/packs",
      `/v1/packs/${packs[0]}`,
      `/v1/packs/${packs[0]}/runs`,
      `/v1/packs/${packs[0]}/standings?figure=power-10s`,
      "/v1/runs",
      `/v1/runs/${first}`,
      `/v1/runs/${first}/copies`,
      `/v1/runs/${first}/trace?points=20`,
      `/v1/runs/${first}/log`,
      `/v1/runs/${first}/readings?at=5`,
      "/v1/classes",
      "/v1/figures",
      "/v1/rankings/power-10s?standing=provisional",
      `/v1/rankings/power-10s/packs/${packs[0]}`,
      `/v1/rankings/power-10s/packs/${packs[0]}/cycles`,
      `/v1/comparisons?runs=${first},${second}`,
      "/v1/testers/anna",
      "/v1/protocols",
      "/v1/changes?first=1",
      "/v1/changes.atom",
      "/v1/protocols/full-load",
      "/v1/protocols/full-load/versions/1",
      "/v1/protocols/full-load/versions/1/rules",
      "/v1/protocol-schema",
      "/v1/use-schema",
      `/v1/runs/${first}/events`,
    ]) {
      await this.get(url, url.includes("copies") ? anna : {});
    }
    await this.getForms(`/v1/runs/${first}`);
    await this.getForms("/v1/rankings/power-10s", "?standing=provisional");
    await this.getForms(`/v1/rankings/power-10s/packs/${packs[0]}`);
    await this.getForms(`/v1/rankings/power-10s/packs/${packs[0]}/cycles`);
    await this.getForms("/v1/comparisons", `?runs=${first},${second}`);
    await this.get("/v1/protocol-schema", { accept: "application/json" });
    await this.get("/v1/use-schema", { accept: "application/json" });
    await this.get(`/v1/runs/${first}/trace?points=20`, { accept: "text/csv" });
    await this.get(`/v1/runs/${first}/use?demand=power`);
    await this.get(`/v1/runs/${first}/log`, { range: "bytes=0-63" });
  }

  async ladder(bert: Headers, mona: Headers): Promise<void> {
    const conditions = { ambientC: 21, restMinutes: 30, cycles: 12, setpointA: 60 };
    const rung = { log: ladderStepLog(60), pack: LADDER_PACK, bench: LADDER_BENCH, conditions };
    const { packId, ...ids } = await this.register(bert, "Rung", rung);
    const run = { protocol: "current-ladder", startedAt: "2026-05-02T09:12:00Z", ...ids, ...conditions };
    const { id } = await this.send<Item>("/v1/runs", { run }, [["log", "step.csv", rung.log]], bert);
    await this.app.nest.get(CopiesService).awaitCheck(id);
    await this.post(`/v1/runs/${id}/reviews`, { decision: "accept", rules: [], note: NOTE }, mona);
    await this.get(`/v1/ladders/${ids.specimenId}`);
    await this.getForms(`/v1/ladders/${ids.specimenId}`);
    await this.get(`/v1/packs/${packId}/ladders`);
  }

  async reevaluation(admin: Headers): Promise<void> {
    await this.post("/v1/protocols/full-load/versions", nextFullLoad(5), admin);
    const dryRun = { protocol: "full-load", dryRun: true };
    for (let isCancelled = false; !isCancelled; ) {
      const { id } = await this.post<Item>("/v1/reevaluations", dryRun, admin);
      const answer = await this.app.inject({ method: "DELETE", url: `/v1/reevaluations/${id}`, headers: { ...admin } });
      // It may have ended meanwhile.
      isCancelled = answer.statusCode === 200;
      if (isCancelled) this.keep({ method: "DELETE", url: `/v1/reevaluations/${id}` }, answer);
      await this.idle();
      await this.get(`/v1/reevaluations/${id}`, admin);
    }
    await this.get("/v1/reevaluations", admin);
  }
}
