import { Inject, Injectable } from "@nestjs/common";
import { conditionsOf } from "../../../core/inputs/conditions.js";
import type { Caller } from "../../../platform/auth/account.js";
import { CONFIG, type Config } from "../../../platform/config/config.js";
import { checkInput, invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { Problem } from "../../../platform/problems/problem.js";
import { Storage } from "../../../platform/storage/storage.js";
import { BenchesService } from "../../benches/benches.service.js";
import { columnMapOf } from "../../column-maps/column-maps.service.js";
import { ProtocolsService } from "../../protocols/protocols.service.js";
import { SpecimensService } from "../../specimens/specimens.service.js";
import { binaryRefusal } from "../evaluation/binary-refusal.js";
import { isLarge } from "../evaluation/is-large.js";
import { unreadable } from "../evaluation/unreadable.js";
import { EventsService } from "../progress/events.service.js";
import { isOver, STAGE_OF_STATE } from "../progress/progress.js";
import { referenced } from "../referenced.js";
import { RunsService } from "../runs.service.js";
import type { RunView } from "../runs.views.js";
import { RunInput } from "./run-inputs.js";
import type { Upload } from "./upload.js";
import { type UploadReferences, UploadReferencesRepository } from "./upload-references.repository.js";
import { UploadTurns } from "./upload-turns.js";
import { type NewRun, UploadsRepository } from "./uploads.repository.js";

export interface UploadedRun {
  readonly run: RunView;
  /** `existing`: the same log was uploaded before. */
  readonly outcome: "created" | "queued" | "existing";
}

/** How an upload is answered. */
export const STATUS_OF_OUTCOME = { created: 201, queued: 202, existing: 200 } as const;

/** Takes uploads: checks what is declared, stores run and log, and waits a little for the evaluation. */
@Injectable()
export class UploadsService {
  constructor(
    private readonly uploadsRepository: UploadsRepository,
    private readonly uploadReferencesRepository: UploadReferencesRepository,
    private readonly eventsService: EventsService,
    private readonly runsService: RunsService,
    private readonly benchesService: BenchesService,
    private readonly specimensService: SpecimensService,
    private readonly protocolsService: ProtocolsService,
    private readonly storage: Storage,
    private readonly uploadTurns: UploadTurns,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /**
   * Stores an upload and waits a little for its evaluation.
   *
   * @param until when it is answered as queued, in ms of `performance`; if left out, as long after it is stored as is configured
   * @throws Problem when what it declares does not fit, or when its log cannot be read; in the latter case the run is kept
   */
  async upload(upload: Upload, caller: Caller, until?: number): Promise<UploadedRun> {
    const input = await checkInput(RunInput, upload.run);
    await this.storage.requireRoom(upload.log.bytes);
    const longLog = await isLarge(upload.log.path);
    const { id, created, differing } = await this.uploadsRepository.create(
      { ...(await this.newRun(input, caller)), longLog },
      { ...upload.log, refusal: await binaryRefusal(upload.log.path) },
    );
    if (differing.length > 0) throw differs(id, differing);
    const state = await this.eventsService.awaitEnd(id, until ?? performance.now() + this.config.waitSeconds * 1000);
    // A long log takes its time however little there is to do.
    if (!longLog && !isOver({ stage: STAGE_OF_STATE[state] })) this.uploadTurns.noteUnfinished(caller.id, id);
    const run = await this.runsService.get(id, caller);
    if (run.error) throw unreadable(run.error, { runId: id, ...lossOf(run) });
    const isDone = state === "processed";
    return { run, outcome: created ? (isDone ? "created" : "queued") : isDone ? "existing" : "queued" };
  }

  private async newRun(input: RunInput, caller: Caller): Promise<Omit<NewRun, "longLog">> {
    const columns = columnMapOf(input.columns);
    const found = await this.uploadReferencesRepository.find(input, caller.id);
    const { specimenId, benchId, protocolVersion, ...of } = found ?? (await this.referencesOneByOne(input, caller));
    requireNewerThanActive(protocolVersion, of.activeVersion);
    const { startedAt, cycles, discharge } = input;
    return {
      testerId: caller.id,
      specimenId,
      benchId,
      protocolKey: input.protocol,
      protocolVersion,
      startedAt: startedAt ? new Date(startedAt) : null,
      ...conditionsOf({ ...input, cycles: cycles ?? of.cycles }),
      discharge: discharge ?? 0,
      columns: columns as NewRun["columns"],
    };
  }

  /** @throws Problem that says which of them does not exist, or is another's */
  private async referencesOneByOne(input: RunInput, caller: Caller): Promise<UploadReferences> {
    const protocol = await this.protocolsService.named(input.protocol, input.protocolVersion);
    const { activeVersion = null } = protocol;
    requireNewerThanActive(protocol.version, activeVersion);
    const specimen = await referenced("/specimenId", this.specimensService.getOwn(input.specimenId, caller));
    const bench = await referenced("/benchId", this.benchesService.newestOwn(input.benchId, caller));
    return {
      specimenId: specimen.id,
      cycles: specimen.cycles,
      benchId: bench.id,
      protocolVersion: protocol.version,
      activeVersion,
    };
  }
}

function requireNewerThanActive(version: number, active: number | null): void {
  if (version >= (active ?? 1)) return;
  const message = `must be ${active} or newer: runs under older versions do not enter the rankings`;
  throw invalidInput([{ pointer: "/protocolVersion", message }]);
}

/** What becomes of the bytes of a log that was refused. */
function lossOf({ log: { keptUntil, removedAt } }: RunView): object {
  return removedAt ? { logRemovedAt: removedAt } : keptUntil ? { logKeptUntil: keptUntil } : {};
}

/** A run stands as it was declared first; what it rests on is never changed behind its figures. */
function differs(id: string, differing: readonly string[]): Problem {
  return new Problem(
    "already-exists",
    "This log was uploaded before with other declarations. Withdraw that run first, then upload it again.",
    {
      errors: differing.map((member) => ({ pointer: `/${member}`, message: "differs from the run that exists" })),
      extensions: { existingId: id },
    },
  );
}
