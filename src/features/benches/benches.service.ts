import { Injectable } from "@nestjs/common";
import { leadResistanceProblem } from "../../core/inputs/bench.js";
import type { BenchFacts, LoadKind, Sense } from "../../core/model.js";
import type { Bench } from "../../generated/prisma/client.js";
import type { Caller } from "../../platform/auth/account.js";
import { idOf } from "../../platform/database/uuid.js";
import { invalidInput } from "../../platform/http/input.pipe.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../platform/paging/page.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { BenchesRepository } from "./benches.repository.js";
import type { BenchInput, BenchView } from "./benches.views.js";

@Injectable()
export class BenchesService {
  constructor(private readonly benchesRepository: BenchesRepository) {}

  async register(input: BenchInput, caller: Caller): Promise<BenchView> {
    requireLeadResistance(input.sense);
    const outcome = await this.benchesRepository.create(input, caller.id);
    if ("bench" in outcome) return benchView(outcome.bench);
    throw new Problem("already-exists", "You have a bench with this label.", {
      errors: [{ pointer: "/label", message: "is taken" }],
      extensions: { existingId: outcome.existingId },
    });
  }

  async getOwn(id: string, caller: Caller): Promise<BenchView> {
    const bench = await this.benchesRepository.findOwn(idOf(id, "bench"), caller.id);
    if (!bench) throw notFound("bench");
    return benchView(bench);
  }

  /** Some benches, whoever may see them: that is for the caller to decide. */
  async byIds(ids: readonly string[]): Promise<ReadonlyMap<string, BenchView>> {
    const benches = await this.benchesRepository.findAll(ids);
    return new Map(benches.map((bench) => [bench.id, benchView(bench)]));
  }

  async listOwn(args: PageArgs, caller: Caller): Promise<Page<BenchView>> {
    const page = await readPage(args, {
      name: "benches",
      filters: { ownerId: caller.id },
      keys: ["uuid"],
      read: (window) => this.benchesRepository.listOwn(caller.id, window),
      count: () => this.benchesRepository.countOwn(caller.id),
      keyOf: ({ id }) => [id],
    });
    return mapPage(page, benchView);
  }
}

/** @throws Problem when voltage is sensed past leads of unknown resistance */
export function requireLeadResistance(sense: Sense): void {
  const problem = leadResistanceProblem(sense, "/sense");
  if (problem) throw invalidInput([problem]);
}

/** What both APIs show of a bench; also the facts that an evaluation takes. */
export function benchView(bench: Bench): BenchView & BenchFacts {
  return {
    id: bench.id,
    label: bench.label,
    load: { kind: bench.loadKind as LoadKind },
    voltage: { percent: bench.voltagePercent, offset: bench.voltageOffset },
    current: { percent: bench.currentPercent, offset: bench.currentOffset },
    temperature: bench.temperatureOffset === null ? null : { offset: bench.temperatureOffset },
    clockPercent: bench.clockPercent,
    sense: {
      point: bench.sensePoint as Sense["point"],
      resistanceMilliohm: bench.senseResistanceMilliohm,
      gaugeAwg: bench.senseGaugeAwg,
      lengthMm: bench.senseLengthMm,
    },
  };
}
