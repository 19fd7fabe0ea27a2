import { Injectable } from "@nestjs/common";
import type { Bench } from "../../generated/prisma/client.js";
import { Database } from "../../platform/database/database.js";
import { isDuplicate } from "../../platform/database/errors.js";
import { byId } from "../../platform/paging/by-id.js";
import type { Window } from "../../platform/paging/page.js";
import type { BenchInput } from "./benches.views.js";

export type BenchCreation = { readonly bench: Bench } | { readonly existingId: string | null };

@Injectable()
export class BenchesRepository {
  constructor(private readonly database: Database) {}

  async create(input: BenchInput, ownerId: string): Promise<BenchCreation> {
    try {
      return { bench: await this.database.bench.create({ data: { ownerId, ...columnsOf(input) } }) };
    } catch (error) {
      if (!isDuplicate(error)) throw error;
      const existing = await this.database.bench.findFirst({ where: { ownerId, label: input.label } });
      return { existingId: existing?.id ?? null };
    }
  }

  async findAll(ids: readonly string[]): Promise<Bench[]> {
    return this.database.bench.findMany({ where: { id: { in: [...ids] } } });
  }

  async findOwn(id: string, ownerId: string): Promise<Bench | null> {
    return this.database.bench.findFirst({ where: { id, ownerId } });
  }

  /** In the order in which they were registered. */
  async listOwn(ownerId: string, window: Window): Promise<Bench[]> {
    const { where, ...page } = byId(window, "asc");
    return this.database.bench.findMany({ where: { ownerId, ...where }, ...page });
  }

  async countOwn(ownerId: string): Promise<number> {
    return this.database.bench.count({ where: { ownerId } });
  }
}

function columnsOf({ label, load, voltage, current, temperature, clockPercent, sense }: BenchInput) {
  return {
    label,
    loadKind: load.kind,
    voltagePercent: voltage.percent,
    voltageOffset: voltage.offset,
    currentPercent: current.percent,
    currentOffset: current.offset,
    temperatureOffset: temperature?.offset ?? null,
    clockPercent: clockPercent ?? null,
    sensePoint: sense.point,
    senseResistanceMilliohm: sense.resistanceMilliohm ?? null,
    senseGaugeAwg: sense.gaugeAwg ?? null,
    senseLengthMm: sense.lengthMm ?? null,
  };
}
