import { setTimeout as sleep } from "node:timers/promises";
import { Injectable } from "@nestjs/common";
import type { Decision, Reply, ReviewState, Undoing } from "../../core/lifecycle/run-lifecycle.js";
import { blockingRules } from "../../core/protocol/conformance.js";
import type { Caller } from "../../platform/auth/account.js";
import type { Transaction } from "../../platform/database/database.js";
import { idOf } from "../../platform/database/uuid.js";
import { checkInput, invalidInput } from "../../platform/http/input.pipe.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../platform/paging/page.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { BenchesService } from "../benches/benches.service.js";
import { columnMapOf } from "../column-maps/column-maps.service.js";
import { CountingService } from "../protocols/counting.service.js";
import { ProtocolsService } from "../protocols/protocols.service.js";
import { StandingsService } from "../rankings/standings.service.js";
import { SpecimensService } from "../specimens/specimens.service.js";
import { referenced } from "./referenced.js";
import { RunInput, type RunsArgs } from "./run-inputs.js";
import { runView } from "./run-view.js";
import { type Doer, type NewRun, type RunHead, type RunRow, RunsRepository } from "./runs.repository.js";
import { type RunView } from "./runs.views.js";
import { unreadable } from "./unreadable.js";
import type { Upload } from "./upload.js";

export { CHECK_COPIES, CONSIDER_RUN } from "./runs.repository.js";

/** How long an upload waits for its evaluation before it is answered as queued, ms. */
const PATIENCE_MS = 5_000;
const LOOK_AGAIN_MS = 25;

export interface UploadedRun {
  readonly run: RunView;
  /** `existing`: the same log was uploaded before. */
  readonly outcome: "created" | "queued" | "existing";
}

/** How an upload is answered. */
export const STATUS_OF_OUTCOME = { created: 201, queued: 202, existing: 200 } as const;

@Injectable()
export class RunsService {
  constructor(
    private readonly runs: RunsRepository,
    private readonly benches: BenchesService,
    private readonly specimens: SpecimensService,
    private readonly protocols: ProtocolsService,
    private readonly standings: StandingsService,
    private readonly counting: CountingService,
  ) {}

  /**
   * Stores an upload and waits a little for its evaluation.
   *
   * @param until when it is answered as queued, in ms since the epoch; 5 s from when it is stored if left out
   * @throws Problem when what it declares does not fit, or when its log cannot be read; in the latter case the run is kept
   */
  async upload(upload: Upload, caller: Caller, until?: number): Promise<UploadedRun> {
    const input = await checkInput(RunInput, upload.run);
    const { id, created, differing } = await this.runs.create(await this.newRun(input, caller), upload.log);
    if (differing.length > 0) throw differs(id, differing);
    const state = await this.waitForEvaluation(id, until ?? Date.now() + PATIENCE_MS);
    const run = await this.get(id, caller);
    if (run.error) throw unreadable(run.error, { runId: id });
    const isDone = state === "processed";
    return { run, outcome: created ? (isDone ? "created" : "queued") : isDone ? "existing" : "queued" };
  }

  async get(id: string, caller: Caller | null): Promise<RunView> {
    return runView(await this.visible(id, caller));
  }

  /** Those of some runs that the caller may know to exist, in the order of their ids. */
  async getMany(ids: readonly string[], caller: Caller): Promise<RunView[]> {
    const runs = new Map((await this.runs.findMany(ids)).map((run) => [run.id, run]));
    return ids.flatMap((id) => {
      const run = runs.get(id);
      return run && maySee(run, caller) ? [runView(run)] : [];
    });
  }

  /** The run, if the caller may know that it exists. */
  async visible(id: string, caller: Caller | null): Promise<RunRow> {
    const run = await this.runs.find(idOf(id, "run"));
    if (!run || !maySee(run, caller)) throw notFound("run");
    return run;
  }

  async list(args: RunsArgs, caller: Caller | null): Promise<Page<RunView>> {
    if (args.mine && !caller) throw new Problem("session-required", "Open a session to see your own runs.");
    const filter = {
      packId: args.packId ? idOf(args.packId, "pack") : null,
      testerId: args.mine && caller ? caller.id : null,
      after: args.after ?? null,
    };
    const page = await readPage(
      args,
      (take) => this.runs.list(filter, take),
      ({ id }) => [id],
    );
    return mapPage(page, runView);
  }

  /** The accepted run of a pack whose translated figure is nearest to a value. */
  typicalRun(packId: string, protocolKey: string, figure: string, value: number): Promise<string | null> {
    return this.runs.nearestAccepted(packId, protocolKey, figure, value);
  }

  /** Runs of others that were evaluated and are in a review state, oldest first. */
  async listForReview(review: ReviewState, args: PageArgs, caller: Caller): Promise<Page<RunView>> {
    const page = await readPage(
      args,
      (take) => this.runs.listForReview(review, caller.id, args.after ?? null, take),
      ({ id }) => [id],
    );
    return mapPage(page, runView);
  }

  /** Makes a decision, takes one back or hears a reply, with what is recorded of it and what follows for the ranking, all or nothing. */
  async decide<T>(
    { id, state, review, conformance, protocol }: RunView,
    event: Decision | Reply | Undoing,
    by: Doer,
    record: (tx: Transaction, before: ReviewState) => Promise<T>,
  ): Promise<{ review: ReviewState; result: T }> {
    const { rules } = await this.protocols.document(protocol.key, protocol.version);
    const blocking = blockingRules(conformance?.findings ?? [], rules);
    return this.runs.transaction(async (tx) => {
      const before = await this.runs.lock(tx, id);
      if (before?.review !== review) throw notPossible(`${state} and ${before?.review} by now`);
      if (event === "accept" || event === "undo-to-accepted") {
        requireConforming(before, blocking);
        await this.requireCounting(tx, before);
        const twinId = await this.runs.acceptedTwin(tx, id);
        if (twinId) throw countsAlready(twinId);
      }
      const head = await this.runs.move(tx, id, event, by);
      if (!head) throw notPossible(`${state} and ${review}`);
      const result = await record(tx, review);
      await this.standings.refresh(tx, head.packId, head.protocolKey);
      return { review: head.review, result };
    });
  }

  /**
   * Accepts a run by a rule of the service, with what is recorded of it and what follows for the ranking, all or nothing.
   *
   * @param guard under the run's lock: who accepts it and why, or null when it is not to be accepted
   */
  async acceptByRule(
    id: string,
    guard: (tx: Transaction) => Promise<Doer | null>,
    record: (tx: Transaction) => Promise<void>,
  ): Promise<boolean> {
    return this.runs.transaction(async (tx) => {
      const before = await this.runs.lock(tx, id);
      if (before?.review !== "waiting" || before.verdict === "nonconforming") return false;
      if ((await this.countsInstead(tx, before)) !== null) return false;
      await this.standings.lockPack(tx, before.packId, before.protocolKey);
      const by = await guard(tx);
      const head = by && !(await this.runs.acceptedTwin(tx, id)) && (await this.runs.move(tx, id, "accept", by));
      if (!head) return false;
      await record(tx);
      await this.standings.refresh(tx, head.packId, head.protocolKey);
      return true;
    });
  }

  /**
   * An accepted run does not conform under what counts from now on, or could not be evaluated under it: it waits for a
   * moderator again.
   */
  async lapse(
    tx: Transaction,
    id: string,
    evaluationId: string | null,
    by: Pick<Doer, "reason" | "rules">,
  ): Promise<void> {
    const more = evaluationId ? { currentEvaluationId: evaluationId } : {};
    await this.runs.move(tx, id, "lapse", { actorId: null, ...by }, more);
  }

  /** Its tester withdraws it. It stays in the record and counts no more. */
  async withdraw(id: string, caller: Caller): Promise<void> {
    const run = await this.visible(id, caller);
    if (run.testerId !== caller.id) throw new Problem("role-required", "Only its tester may withdraw a run.");
    await this.runs.transaction(async (tx) => {
      await this.runs.withdraw(tx, run.id);
      await this.standings.refresh(tx, run.specimen.packId, run.protocolKey);
    });
  }

  /** A run that was not evaluated under what counts, or something newer, could be accepted and never count. */
  private async requireCounting(tx: Transaction, head: RunHead): Promise<void> {
    const version = await this.countsInstead(tx, head);
    if (version === null) return;
    throw new Problem(
      "decision-not-possible",
      `The run could not be evaluated under version ${version} of its protocol, which counts now. Reject it, or ask its tester.`,
    );
  }

  /** The version that counts, when the run was evaluated under something older; null when it may count. */
  private async countsInstead(tx: Transaction, { protocolKey, evaluatedUnder }: RunHead): Promise<number | null> {
    const { protocol, computationVersion } = await this.counting.hold(tx, protocolKey);
    const isOld =
      !evaluatedUnder ||
      evaluatedUnder.version < protocol.version ||
      Number(evaluatedUnder.computationVersion) < Number(computationVersion);
    return isOld ? protocol.version : null;
  }

  /**
   * The tester answers what was asked about a run with another one: the old run is withdrawn, and both stand side by side in the
   * evidence of the new one.
   */
  async replace(id: string, replacementId: string, reason: string, caller: Caller): Promise<RunView> {
    const run = await this.visible(id, caller);
    if (run.testerId !== caller.id) throw new Problem("role-required", "Only its tester may do this.");
    const other = await referenced("/replacedBy", this.visible(replacementId, caller));
    const fits =
      other.testerId === caller.id &&
      other.id > run.id &&
      other.specimen.packId === run.specimen.packId &&
      other.protocolKey === run.protocolKey;
    if (!fits) throw notInPlace("must be a later run of yours, of the same pack under the same protocol");
    await this.runs.transaction(async (tx) => {
      // The older one is locked first, whoever else locks both.
      const withdrawn = await this.runs.withdraw(tx, run.id, "replace", { reason, replacedById: other.id });
      if (!withdrawn) throw notPossible(`${run.state} and ${run.review}`);
      const head = await this.runs.lock(tx, other.id);
      if (!head || !MAY_STAND_IN.has(head.review)) throw notInPlace("was rejected or withdrawn");
      this.runs.tellReplacement(tx, head, run.id);
    });
    return this.get(run.id, caller);
  }

  /** The run made in place of a run, and those in whose place it was made. */
  async replacements(id: string, caller: Caller): Promise<{ replacement: RunView | null; replaces: RunView[] }> {
    const { replacedById } = await this.visible(id, caller);
    const replaces = await this.getMany(await this.runs.replacedBy(id), caller);
    return { replacement: replacedById ? await this.get(replacedById, caller) : null, replaces };
  }

  private async newRun(input: RunInput, caller: Caller): Promise<NewRun> {
    const columns = columnMapOf(input.columns);
    const protocol = await this.protocols.named(input.protocol, input.protocolVersion);
    const counts = (await this.counting.find(protocol.key))?.protocol.version ?? 1;
    if (protocol.version < counts) {
      const message = `must be ${counts} or newer: runs under older versions count no more`;
      throw invalidInput([{ pointer: "/protocolVersion", message }]);
    }
    const specimen = await referenced("/specimenId", this.specimens.getOwn(input.specimenId, caller));
    const bench = await referenced("/benchId", this.benches.getOwn(input.benchId, caller));
    const {
      startedAt,
      ambientC = null,
      restMinutes = null,
      cycles = null,
      setpointA = null,
      stateOfChargePercent = null,
    } = input;
    return {
      testerId: caller.id,
      specimenId: specimen.id,
      benchId: bench.id,
      protocolKey: protocol.key,
      protocolVersion: protocol.version,
      startedAt: startedAt ? new Date(startedAt) : null,
      ambientC,
      restMinutes,
      cycles: cycles ?? specimen.cycles,
      setpointA,
      stateOfChargePercent,
      columns: columns as NewRun["columns"],
    };
  }

  private async waitForEvaluation(id: string, until: number): Promise<string> {
    for (;;) {
      const state = await this.runs.stateOf(id);
      if (state === "processed" || state === "failed" || Date.now() >= until) return state;
      await sleep(LOOK_AGAIN_MS);
    }
  }
}

/** A run stands as it was declared first; what it rests on is never changed behind its figures. */
function differs(id: string, differing: readonly string[]): Problem {
  return new Problem(
    "already-exists",
    "This log was uploaded before and declared otherwise. Withdraw that run first, then upload it anew.",
    {
      errors: differing.map((member) => ({ pointer: `/${member}`, message: "differs from the run that exists" })),
      extensions: { existingId: id },
    },
  );
}

const MAY_STAND_IN: ReadonlySet<string> = new Set(["waiting", "asked", "accepted"]);

function notInPlace(message: string): Problem {
  return invalidInput([{ pointer: "/replacedBy", message }]);
}

function notPossible(status: string): Problem {
  return new Problem("decision-not-possible", `The run is ${status}; this cannot be done with it now.`);
}

function countsAlready(twinId: string): Problem {
  return new Problem(
    "decision-not-possible",
    "An accepted run has the very same log: one measurement counts once. Reject this one.",
    {
      extensions: { existingId: twinId },
    },
  );
}

/** What does not conform is never accepted; judged under the run's lock, by the evaluation that is current then. */
function requireConforming(head: RunHead | null, rules: readonly string[]): void {
  if (head?.verdict !== "nonconforming") return;
  throw new Problem(
    "run-not-conforming",
    "A run that does not conform cannot be accepted: reject it, or ask its tester.",
    {
      extensions: { rules },
    },
  );
}

/** Accepted runs are public; the others are for their tester and those who review. */
function maySee(run: RunRow, caller: Caller | null): boolean {
  return run.review === "accepted" || run.testerId === caller?.id || (caller !== null && caller.role !== "tester");
}
