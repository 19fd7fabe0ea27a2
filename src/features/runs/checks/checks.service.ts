import { Injectable } from "@nestjs/common";
import { conditionsOf } from "../../../core/inputs/conditions.js";
import { leadSizeProblem } from "../../../core/inputs/pack.js";
import type { Caller } from "../../../platform/auth/account.js";
import { checkInput, invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { InProgress } from "../../../platform/limits/in-progress.js";
import { Problem } from "../../../platform/problems/problem.js";
import { BenchesService, requireLeadResistance } from "../../benches/benches.service.js";
import { ColumnMapsService, columnMapOf } from "../../column-maps/column-maps.service.js";
import { PacksService } from "../../packs/packs.service.js";
import { ProtocolsService } from "../../protocols/protocols.service.js";
import { SpecimensService } from "../../specimens/specimens.service.js";
import type { EvaluationTask } from "../evaluation/evaluation-thread.js";
import { EvaluationsService, shareOf } from "../evaluation/evaluations.service.js";
import { unreadable } from "../evaluation/unreadable.js";
import { referenced } from "../referenced.js";
import type { CheckView } from "../runs.views.js";
import type { Upload } from "../upload/upload.js";
import { CheckInput } from "./check.views.js";

/** Most checks of one account or address that wait or are computed at a time: each keeps its log on disk meanwhile. */
const MAX_CHECKS = 64;

/** Evaluates a log without storing anything. */
@Injectable()
export class ChecksService {
  private readonly checksInProgress = new InProgress(MAX_CHECKS, "checks");

  constructor(
    private readonly evaluationsService: EvaluationsService,
    private readonly benchesService: BenchesService,
    private readonly packsService: PacksService,
    private readonly specimensService: SpecimensService,
    private readonly protocolsService: ProtocolsService,
    private readonly columnMapsService: ColumnMapsService,
  ) {}

  /** @param address whence it was asked: who has no account shares the threads with others by it */
  async check({ run, log }: Upload, caller: Caller | null, address: string): Promise<CheckView> {
    const input = await checkInput(CheckInput, run);
    const protocol = await this.protocolsService.named(input.protocol, input.protocolVersion);
    const facts: EvaluationTask["facts"] = {
      pack: await this.packOf(input, caller),
      bench: await this.benchOf(input, caller),
      conditions: conditionsOf(input),
      columns: columnMapOf(input.columns),
      discharge: input.discharge ?? null,
      savedMaps: caller ? await this.columnMapsService.savedBy(caller.id) : [],
    };
    const document = await this.protocolsService.document(protocol.key, protocol.version);
    const task = { log: log.path, facts, protocol: document };
    const share = caller ? shareOf(caller.id) : `address ${address}`;
    const outcome = await this.checksInProgress.of(share, () => this.evaluationsService.evaluate(task, share));
    if ("unreadable" in outcome) throw unreadable(outcome.unreadable);
    const { evaluation } = outcome;
    return {
      id: null,
      review: null,
      state: "processed",
      error: null,
      protocol: evaluation.protocol,
      log: {
        sha256: log.sha256.toString("hex"),
        bytes: log.bytes,
        rows: evaluation.log.rows,
        columns: [...evaluation.log.columns],
        keptUntil: null,
        removedAt: null,
      },
      trace: evaluation.trace,
      adjustments: [...evaluation.adjustments],
      figures: evaluation.figures.map((figure) => ({ ...figure, budget: [...figure.budget] })),
      conformance: { verdict: evaluation.verdict, findings: [...evaluation.findings] },
      computationVersion: evaluation.computationVersion,
    };
  }

  private async packOf(input: CheckInput, caller: Caller | null): Promise<EvaluationTask["facts"]["pack"]> {
    if (input.pack && input.specimenId) throw both("pack", "specimenId");
    const lead = input.pack && leadSizeProblem(input.pack, "/pack");
    if (lead) throw invalidInput([lead]);
    if (input.pack) return withNulls(input.pack);
    if (!input.specimenId) throw neither("pack", "specimenId");
    const specimen = await referenced("/specimenId", this.specimensService.getOwn(input.specimenId, known(caller)));
    return this.packsService.get(specimen.packId);
  }

  private async benchOf(input: CheckInput, caller: Caller | null): Promise<EvaluationTask["facts"]["bench"]> {
    if (input.bench && input.benchId) throw both("bench", "benchId");
    if (!input.bench && !input.benchId) throw neither("bench", "benchId");
    if (!input.bench) return referenced("/benchId", this.benchesService.getOwn(input.benchId ?? "", known(caller)));
    requireLeadResistance(input.bench.sense);
    return { ...input.bench, temperature: input.bench.temperature ?? null };
  }
}

function withNulls(pack: NonNullable<CheckInput["pack"]>): EvaluationTask["facts"]["pack"] {
  const { labelContinuousC = null, labelBurstC = null, massGrams = null } = pack;
  return { ...pack, labelContinuousC, labelBurstC, massGrams };
}

function known(caller: Caller | null): Caller {
  if (caller) return caller;
  throw new Problem(
    "session-required",
    "Ids of specimens and benches need their owner's session; else send `pack` and `bench`.",
  );
}

const both = (object: string, id: string): Problem =>
  invalidInput([{ pointer: `/${object}`, message: `must not be sent together with ${id}` }]);
const neither = (object: string, id: string): Problem =>
  invalidInput([{ pointer: `/${object}`, message: `must be sent, or ${id} in its place` }]);
