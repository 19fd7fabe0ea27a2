import { createHash, randomUUID } from "node:crypto";
import { setTimeout as delay } from "node:timers/promises";
import type { Verdict } from "../../src/core/model.js";
import { ActiveVersionService } from "../../src/features/protocols/active-version.service.js";
import { StandingsService } from "../../src/features/rankings/standings.service.js";
import type { TestApp } from "./app.js";
import { productOf } from "./facts.js";

/** What a run found, over what the pack really does: one factor for each quantity. */
export interface Reading {
  readonly power?: number;
  readonly capacity?: number;
  readonly resistance?: number;
}

/** The standard load, A, that runs stored here are translated to. */
export const STORED_LOAD = 100;
const TRUE = { "power-10s": 1400, capacity: 5000, "resistance-10s": 20 } as const;
const UNCERTAINTY = 0.005;

const BENCH = {
  label: "bench",
  loadKind: "throttle",
  voltagePercent: 0.1,
  voltageOffset: 0.005,
  currentPercent: 0.5,
  currentOffset: 0.1,
  sensePoint: "pack",
};

/** Runs that are stored as if a log had been evaluated: their three figures are given, and nothing else is. */
export class StoredRuns {
  private readonly testers = new Map<string, { readonly id: string; readonly benchId: string }>();
  private readonly packs = new Map<string, string>();
  private readonly specimens = new Map<string, string>();

  constructor(private readonly app: TestApp) {}

  async tester(handle: string): Promise<string> {
    const known = this.testers.get(handle);
    if (known) return known.id;
    const { id } = await this.app.database.account.create({ data: { handle } });
    const bench = await this.app.database.bench.create({ data: { ownerId: id, ...BENCH } });
    this.testers.set(handle, { id, benchId: bench.id });
    return id;
  }

  /** Lets an account that exists add runs. */
  adopt(handle: string, id: string, benchId: string): void {
    this.testers.set(handle, { id, benchId });
  }

  async pack(name: string): Promise<string> {
    const known = this.packs.get(name);
    if (known) return known;
    const createdById = await this.tester("registrar");
    const { id } = await this.app.database.pack.create({
      data: { ...productOf(name), createdById, confirmedAt: new Date(), confirmedById: createdById },
    });
    this.packs.set(name, id);
    return id;
  }

  /** Stores an accepted run and lets standings follow. Returns its id. */
  async add(handle: string, packName: string, reading: Reading = {}): Promise<string> {
    const id = await this.addUndecided(handle, packName, { reading });
    await this.move(id, { review: "accepted" });
    return id;
  }

  /** Stores a run that nobody has decided on. Returns its id. */
  async addUndecided(
    handle: string,
    packName: string,
    { reading = {}, verdict = "conforming" }: { reading?: Reading; verdict?: Verdict },
  ): Promise<string> {
    const { database } = this.app;
    const testerId = await this.tester(handle);
    const specimenId = await this.specimen(handle, packName);
    const { benchId } = this.testers.get(handle) as { benchId: string };
    const { key, version } = { key: "full-load", version: 1 };
    const id = randomUUID();
    const evaluationId = randomUUID();
    const sha256 = createHash("sha256").update(id).digest() as Buffer<ArrayBuffer>;
    await database.log.create({ data: { sha256, bytes: 0n, mediaType: "text/csv" } });
    const run = { id, specimenId, benchId, testerId, protocolKey: key, protocolVersion: version, logSha256: sha256 };
    await database.run.create({ data: { ...run, fileName: "log.csv" } });
    const { computationVersion } = (await this.app.nest.get(ActiveVersionService).find(key)) ?? {
      computationVersion: 1,
    };
    const of = { protocolKey: key, protocolVersion: version, computationVersion, logSha256: sha256 };
    const readOff = { rows: 1, columns: [], samples: 1, rateHz: 1, durationS: 1, cutoffS: 1, stop: "cutoff" };
    await database.evaluation.create({
      data: { id: evaluationId, runId: id, ...of, verdict, ...readOff },
    });
    await database.figure.createMany({ data: figuresOf(reading).map((figure) => ({ evaluationId, ...figure })) });
    await database.run.update({
      where: { id },
      data: { currentEvaluationId: evaluationId, state: "processed" },
    });
    return id;
  }

  /** Withdraws a run when its figures had been seen. */
  async withdraw(runId: string, withdrawnFrom: "accepted" | "pending" = "accepted"): Promise<void> {
    const withdrawal = 1 + Math.floor(Math.random() * 1e9);
    await this.move(runId, { review: "withdrawn", withdrawnFrom, withdrawal });
  }

  reject(runId: string): Promise<void> {
    return this.move(runId, { review: "rejected" });
  }

  accept(runId: string): Promise<void> {
    return this.move(runId, { review: "accepted" });
  }

  /** Waits until nothing that follows from changes is left to do; throws where a job has failed. */
  async settled(): Promise<void> {
    for (;;) {
      const [row] = await this.app.database.$queryRaw<{ waiting: number; error: string | null }[]>`
        SELECT count(*)::int AS waiting, max(last_error) AS error FROM graphile_worker.jobs
        WHERE task_identifier IN ('judge-tester', 'refresh-standings', 'evaluate-anew', 'close-sealed-round') AND run_at <= now() + interval '1 hour'`;
      if (row?.waiting === 0) return;
      if (row?.error) throw new Error(row.error);
      await delay(20);
    }
  }

  private async move(id: string, data: { review: string; withdrawnFrom?: string; withdrawal?: number }): Promise<void> {
    await this.app.database.$transaction(async (tx) => {
      const { testerId, specimen, protocolKey } = await tx.run.update({
        where: { id },
        data,
        include: { specimen: true },
      });
      await this.app.nest.get(StandingsService).refresh(tx, specimen.packId, protocolKey, testerId);
    });
  }

  private async specimen(handle: string, packName: string): Promise<string> {
    const name = `${handle} ${packName}`;
    const known = this.specimens.get(name);
    if (known) return known;
    const [ownerId, packId] = [await this.tester(handle), await this.pack(packName)];
    const specimens = this.app.database.specimen;
    const own = { ownerId, packId, label: "no. 1" };
    // One that a run was moved to has the label already.
    const { id } =
      (await specimens.findFirst({ where: own })) ?? (await specimens.create({ data: { ...own, cycles: 5 } }));
    this.specimens.set(name, id);
    return id;
  }
}

function figuresOf({ power = 1, capacity = 1, resistance = 1 }: Reading) {
  const translated = { basis: "translated", load: STORED_LOAD };
  const rows = [
    { key: "power-10s", unit: "W", value: power * TRUE["power-10s"], ...translated },
    { key: "capacity", unit: "mAh", value: capacity * TRUE.capacity, ...translated },
    { key: "resistance-10s", unit: "mohm", value: resistance * TRUE["resistance-10s"], basis: "measured", load: 0 },
  ];
  return rows.map((row) => {
    const uncertainty = UNCERTAINTY * row.value;
    const isTranslated = row.basis === "translated";
    return {
      ...row,
      uncertainty,
      ownUncertainty: isTranslated ? uncertainty : null,
      kineticsUncertainty: isTranslated ? 0 : null,
      resistanceUncertainty: isTranslated ? 0 : null,
      formUncertainty: isTranslated ? 0 : null,
      bound: "none",
      budget: [],
    };
  });
}
