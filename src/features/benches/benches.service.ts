import { Injectable } from "@nestjs/common";
import { leadResistanceProblem } from "../../core/inputs/bench.js";
import type { BenchFacts, LoadKind, Sense } from "../../core/model.js";
import type { Bench } from "../../generated/prisma/client.js";
import type { Caller } from "../../platform/auth/account.js";
import { idOf } from "../../platform/database/rows/uuid.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../platform/paging/page.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { BenchesRepository } from "./benches.repository.js";
import type { BenchCorrectionInput, BenchInput, BenchView } from "./benches.views.js";

@Injectable()
export class BenchesService {
  constructor(private readonly benchesRepository: BenchesRepository) {}

  async register(input: BenchInput, caller: Caller): Promise<BenchView> {
    requireLeadResistance(input.sense);
    const outcome = await this.benchesRepository.create(input, caller.id);
    if ("bench" in outcome) return benchView(outcome.bench);
    throw labelTaken(outcome.existingId);
  }

  /** States a bench otherwise. Runs that were measured on it keep the version of then. */
  async correct(id: string, { reason = null, ...sent }: BenchCorrectionInput, caller: Caller): Promise<BenchView> {
    const missing = NEEDED.filter((member) => sent[member] === null);
    if (missing.length > 0) {
      throw invalidInput(missing.map((member) => ({ pointer: `/${member}`, message: "cannot be left empty" })));
    }
    const outcome = await this.benchesRepository.correct(idOf(id, "bench"), { caller, reason }, (before) => {
      const { id: _, version: __, replacedById: ___, ...now } = benchView(before);
      const stated = Object.fromEntries(Object.entries(sent).filter(([, value]) => value !== undefined));
      const next = { ...now, ...stated } as BenchInput;
      requireLeadResistance(next.sense);
      return next;
    });
    if (!outcome) throw notFound("bench");
    if ("bench" in outcome) return benchView(outcome.bench);
    if ("replacedById" in outcome) {
      throw new Problem(
        "decision-not-possible",
        `The bench was stated otherwise: its newest version is ${outcome.replacedById}.`,
      );
    }
    throw labelTaken(outcome.existingId);
  }

  /** The newest version of an own bench, whichever version is named. */
  async newestOwn(id: string, caller: Caller): Promise<BenchView> {
    const named = await this.getOwn(id, caller);
    return named.replacedById === null ? named : this.getOwn(named.replacedById, caller);
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

/** What a bench cannot be without. */
const NEEDED = ["label", "load", "voltage", "current", "sense"] as const;

function labelTaken(existingId: string | null): Problem {
  return new Problem("already-exists", "You have a bench with this label.", {
    errors: [{ pointer: "/label", message: "is taken" }],
    extensions: { existingId },
  });
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
    version: bench.version,
    replacedById: bench.replacedById,
  };
}
