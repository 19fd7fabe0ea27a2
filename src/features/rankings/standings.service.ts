import { Injectable } from "@nestjs/common";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import { type PackResult, packResult } from "../../core/statistics/standing.js";
import type { Standing } from "../../generated/prisma/client.js";
import type { Transaction } from "../../platform/database/database.js";
import { columnOfLoad } from "../../platform/database/load-column.js";
import { LadderStepsService } from "../ladders/ladder-steps.service.js";
import { type ActiveProtocol, ActiveVersionService, PROTOCOL_KEYS } from "../protocols/active-version.service.js";
import { type CountedFigure, type NewStanding, type RankedPack, StandingsRepository } from "./standings.repository.js";

export type { NewStanding } from "./standings.repository.js";

/** Packs whose figures are read together. */
const PACKS_AT_ONCE = 200;

/** Which load a figure belongs to. */
export const sideOf = ({ basis }: CountedFigure): "own" | "translated" => (basis === "translated" ? basis : "own");

/** The consensus of a pack's testers on one figure. */
export interface PackFigure extends PackResult {
  readonly packId: string;
  readonly figure: string;
  readonly unit: string;
  readonly basis: "own" | "translated";
  /** The standard load, A; null under the runs' own loads. */
  readonly load: number | null;
}

/** Keeps the standings of packs in step with their accepted runs. */
@Injectable()
export class StandingsService {
  constructor(
    private readonly standingsRepository: StandingsRepository,
    private readonly ladderStepsService: LadderStepsService,
    private readonly activeVersionService: ActiveVersionService,
  ) {}

  /** Computes a pack's standings anew, in the transaction that changed the accepted runs or the active version. */
  async refresh(tx: Transaction, packId: string, protocolKey: string): Promise<void> {
    const active = await this.activeVersionService.lockShared(tx, protocolKey);
    const pack = await this.standingsRepository.lockPack(tx, packId);
    const figures = packFigures(await this.countedFigures(tx, [packId], active.protocol));
    await this.standingsRepository.replace(tx, packId, protocolKey, standingsOf(pack, active, figures));
    await this.activeVersionService.countChange(tx, protocolKey);
  }

  /** Locks the active version of every protocol until the transaction ends; before any pack. */
  async lockVersions(tx: Transaction): Promise<void> {
    for (const key of PROTOCOL_KEYS) await this.activeVersionService.lockShared(tx, key);
  }

  /** Computes the standings of several packs anew, under every protocol. */
  async refreshAll(tx: Transaction, packIds: readonly string[]): Promise<void> {
    await this.lockVersions(tx);
    for (const packId of [...packIds].sort()) {
      for (const key of PROTOCOL_KEYS) await this.refresh(tx, packId, key);
    }
  }

  /** Locks the active version and the pack until the transaction ends. */
  async lockPack(tx: Transaction, packId: string, protocolKey: string): Promise<void> {
    await this.activeVersionService.lockShared(tx, protocolKey);
    await this.standingsRepository.lockPack(tx, packId);
  }

  /** The standings that the accepted runs of a protocol give, of all packs, as the transaction sees them. */
  async computeAll(tx: Transaction, active: ActiveProtocol): Promise<NewStanding[]> {
    const packs = await this.standingsRepository.rankedPacks(tx, active.protocol.key);
    const standings: NewStanding[] = [];
    for (let from = 0; from < packs.length; from += PACKS_AT_ONCE) {
      const some = packs.slice(from, from + PACKS_AT_ONCE);
      const ids = some.map(({ id }) => id);
      const figures = packFigures(await this.countedFigures(tx, ids, active.protocol));
      const byPack = Map.groupBy(figures, ({ packId }) => packId);
      for (const pack of some) standings.push(...standingsOf(pack, active, byPack.get(pack.id) ?? []));
    }
    return standings;
  }

  /** Every standing under a protocol. */
  all(tx: Transaction, protocolKey: string): Promise<Standing[]> {
    return this.standingsRepository.all(tx, protocolKey);
  }

  /** Puts other standings in the place of all under a protocol. */
  async replaceAll(tx: Transaction, protocolKey: string, standings: readonly NewStanding[]): Promise<void> {
    await this.standingsRepository.replaceAll(tx, protocolKey, standings);
    await this.activeVersionService.countChange(tx, protocolKey);
  }

  /** The figures of packs under the active version of each protocol, under their runs' own loads and under standard loads. */
  async figuresOf(packIds: readonly string[]): Promise<(PackFigure & { protocol: string })[]> {
    const active = await this.activeVersionService.list();
    return this.standingsRepository.snapshot(async (tx) => {
      const found: (PackFigure & { protocol: string })[] = [];
      for (const { protocol } of active) {
        const counted = await this.countedFigures(tx, packIds, protocol);
        const figures = packFigures(counted.filter(({ figure }) => isOfPack(protocol, figure)));
        found.push(...figures.map((figure) => ({ ...figure, protocol: protocol.key })));
      }
      return found;
    });
  }

  /** The results of a pack under the active version of a protocol. */
  countedOf(packId: string, protocol: ProtocolDocument): Promise<CountedFigure[]> {
    return this.standingsRepository.snapshot((tx) => this.countedFigures(tx, [packId], protocol));
  }

  /** Results of single runs, and of the ladders that constant-current runs make together. */
  async countedFigures(
    tx: Transaction,
    packIds: readonly string[],
    { key, load }: ProtocolDocument,
  ): Promise<CountedFigure[]> {
    const ofRuns = await this.standingsRepository.countedFigures(packIds, key, tx);
    if (load.kind !== "set-current") return ofRuns;
    return [...ofRuns, ...(await this.ladderStepsService.countedFigures(packIds, key, load.ladder, tx))];
  }
}

/** Runs at currents of their testers' choice have no mean that says something of the pack: of these only what is ranked. */
function isOfPack({ load, ranked }: ProtocolDocument, key: string): boolean {
  return load.kind !== "set-current" || ranked.some(({ figure }) => figure === key);
}

function packFigures(counted: readonly CountedFigure[]): PackFigure[] {
  const groups = Map.groupBy(counted, (row) => `${row.packId} ${row.figure} ${row.load}`);
  return [...groups.values()].map((rows) => {
    const [first] = rows as [CountedFigure];
    const { packId, figure, unit, load } = first;
    return { packId, figure, unit, basis: sideOf(first), load, ...packResult(rows) };
  });
}

function standingsOf(
  { id: packId, chemistry, series, ratedCapacityMah }: RankedPack,
  { protocol, computationVersion }: ActiveProtocol,
  figures: readonly PackFigure[],
): NewStanding[] {
  const of = (figure: string, basis: string) => figures.filter((one) => one.figure === figure && one.basis === basis);
  return protocol.ranked.flatMap(({ figure, basis, better }) =>
    of(figure, basis).map(({ load, sharedUncertainty: _, ...result }) => {
      return {
        ...result,
        load: columnOfLoad(load),
        protocolKey: protocol.key,
        protocolVersion: protocol.version,
        computationVersion,
        packId,
        chemistry,
        series,
        ratedCapacityMah,
        ownLoadValue: of(figure, "own")[0]?.value ?? null,
        sortValue: better === "higher" ? result.value : -result.value,
      };
    }),
  );
}
