import { Injectable } from "@nestjs/common";
import { unitOfFigure } from "../../core/figures/catalogue.js";
import { PROTOCOLS } from "../../core/protocol/index.js";
import { packResult } from "../../core/statistics/standing.js";
import type { Transaction } from "../../platform/database/database.js";
import { type CountedFigure, type NewStanding, type RankedPack, StandingsRepository } from "./standings.repository.js";

export type RankedFigure = (typeof PROTOCOLS)[number]["ranked"][number];

/** What the newest version of a protocol ranks packs by. */
export function rankedFigures(protocolKey: string): readonly RankedFigure[] {
  const versions = PROTOCOLS.filter(({ key }) => key === protocolKey).sort((a, b) => b.version - a.version);
  return versions[0]?.ranked ?? [];
}

/** Keeps the standings of packs in step with their accepted runs. */
@Injectable()
export class StandingsService {
  constructor(private readonly standings: StandingsRepository) {}

  /** Computes a pack's standings anew, in the transaction that changed what counts. */
  async refresh(tx: Transaction, packId: string, protocolKey: string): Promise<void> {
    const ranked = rankedFigures(protocolKey);
    const pack = await this.standings.lockPack(tx, packId);
    const keys = ranked.map(({ figure }) => figure);
    const counted = await this.standings.countedFigures(tx, packId, protocolKey, keys);
    const standings = ranked.flatMap((figure) => standingOf(pack, protocolKey, figure, counted));
    await this.standings.replace(tx, packId, protocolKey, standings);
  }
}

function standingOf(
  pack: RankedPack,
  protocolKey: string,
  { figure, basis, better }: RankedFigure,
  counted: readonly CountedFigure[],
): NewStanding[] {
  const ofFigure = counted.filter((row) => row.figure === figure);
  const translated = ofFigure.filter((row) => row.basis === "translated");
  const own = ofFigure.filter((row) => row.basis !== "translated");
  const results = basis === "translated" ? translated : own;
  if (results.length === 0) return [];
  const result = packResult(results);
  return [
    {
      protocolKey,
      figure,
      packId: pack.id,
      chemistry: pack.chemistry,
      series: pack.series,
      ratedCapacityMah: pack.ratedCapacityMah,
      ...result,
      unit: unitOfFigure(figure) ?? "",
      basis,
      ownLoadValue: own.length > 0 ? packResult(own).value : null,
      sortValue: better === "higher" ? result.value : -result.value,
    },
  ];
}
