import { Injectable } from "@nestjs/common";
import type { InputError } from "../../../core/inputs/input-error.js";
import { type ChosenReadings, parseReadings, type WrittenReadings } from "../../../core/readings/chosen.js";
import type { RunReadings } from "../../../core/readings/read-at-will.js";
import { VOLTAGE_FROM_CELLS } from "../../../core/trace/cells/cells-beside-pack.js";
import type { Caller } from "../../../platform/auth/account.js";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { requireStandardLoad } from "../../../platform/http/requests/standard-load.js";
import { notFound } from "../../../platform/problems/problem.js";
import { Threads } from "../../../platform/threads/threads.js";
import { ProtocolsService } from "../../protocols/protocols.service.js";
import { RunsService } from "../runs.service.js";
import { TracesRepository } from "../trace/traces.repository.js";
import type { ReadingTask } from "./reading-thread.js";
import type { ReadingsView, ReadLoadView } from "./readings.views.js";

const LOAD_UNITS = { current: "A", power: "W", resistance: "ohm" } as const;

@Injectable()
export class ReadingsService {
  constructor(
    private readonly runsService: RunsService,
    private readonly tracesRepository: TracesRepository,
    private readonly protocolsService: ProtocolsService,
    private readonly threads: Threads,
  ) {}

  /**
   * A run read as a reader chose.
   *
   * @throws Problem when the run was not evaluated, or cannot be read so: it says what is possible
   */
  async read(id: string, written: WrittenReadings, caller: Caller | null): Promise<ReadingsView> {
    const chosen = parseReadings(written);
    if (!("atS" in chosen)) throw invalidInput(chosen);
    if (typeof chosen.load === "number") requireStandardLoad(chosen.load);
    const run = await this.runsService.visible(id, caller);
    const stored = run.currentEvaluationId && (await this.tracesRepository.find(run.currentEvaluationId));
    if (!stored) throw notFound("trace: the run was not evaluated");
    const { pack, bench, protocol, adjustments } = await this.runsService.get(id, caller);
    const fromCells = adjustments.find(({ kind }) => kind === VOLTAGE_FROM_CELLS);
    const document = await this.protocolsService.document(protocol.key, protocol.version);
    const found = await this.threads.run<ReadingTask, RunReadings | readonly InputError[]>(
      { module: "src/features/runs/readings/reading-thread.js", name: "readStoredTrace" },
      {
        encoding: stored.encoding,
        data: stored.data,
        pack,
        bench,
        protocol: document,
        summedCells: fromCells?.before ?? null,
        chosen,
      },
    );
    if (!("places" in found)) throw invalidInput(found);
    const { places, ...read } = found;
    return {
      runId: run.id,
      load: loadView(chosen.load),
      ...read,
      readings: places.map(({ values, ...place }) => ({ ...place, values: [...values] })),
    };
  }
}

function loadView(load: ChosenReadings["load"]): ReadLoadView | null {
  if (load === null) return null;
  if (typeof load === "number") return { kind: "standard", value: load, unit: "A" };
  return { ...load, unit: LOAD_UNITS[load.kind] };
}
