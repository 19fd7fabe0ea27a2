import { Injectable } from "@nestjs/common";
import { PROTOCOLS, type ProtocolDocument } from "../../core/protocol/index.js";
import { type PackResult, packResult } from "../../core/statistics/standing.js";
import type { Transaction } from "../../platform/database/database.js";
import { LadderStepsService } from "../ladders/ladder-steps.service.js";
import { type CountedFigure, type NewStanding, type RankedPack, StandingsRepository } from "./standings.repository.js";

/** The version of a protocol under which runs count: its newest. */
export function countingVersion(protocolKey: string): ProtocolDocument | null {
  const versions = PROTOCOLS.filter(({ key }) => key === protocolKey);
  return versions.reduce<ProtocolDocument | null>(
    (newest, one) => (newest && newest.version > one.version ? newest : one),
    null,
  );
}

/** Which load a figure belongs to. */
export const sideOf = ({ basis }: CountedFigure): "own" | "translated" => (basis === "translated" ? basis : "own");

/** The consensus of a pack's testers on one figure. */
export interface PackFigure extends PackResult {
  readonly packId: string;
  readonly figure: string;
  readonly unit: string;
  readonly basis: "own" | "translated";
}

/** Keeps the standings of packs in step with their accepted runs. */
@Injectable()
export class StandingsService {
  constructor(
    private readonly standings: StandingsRepository,
    private readonly ladders: LadderStepsService,
  ) {}

  /** Computes a pack's standings anew, in the transaction that changed what counts. */
  async refresh(tx: Transaction, packId: string, protocolKey: string): Promise<void> {
    const protocol = countingVersion(protocolKey);
    if (!protocol) return;
    const pack = await this.standings.lockPack(tx, packId);
    const figures = packFigures(await this.countedFigures([packId], protocol, tx));
    await this.standings.replace(tx, packId, protocolKey, standingsOf(pack, protocol, figures));
  }

  /** Keeps what counts for a pack as it is until the transaction ends. */
  async lockPack(tx: Transaction, packId: string): Promise<void> {
    await this.standings.lockPack(tx, packId);
  }

  /** Every figure of some packs, under their runs' own loads and the reference load. */
  async figuresOf(packIds: readonly string[], protocolKey: string): Promise<PackFigure[]> {
    const protocol = countingVersion(protocolKey);
    return protocol ? packFigures(await this.countedFigures(packIds, protocol)) : [];
  }

  /** Results of single runs, and of the ladders that constant-current runs make together. */
  async countedFigures(
    packIds: readonly string[],
    protocol: ProtocolDocument,
    tx?: Transaction,
  ): Promise<CountedFigure[]> {
    const ofRuns = await this.standings.countedFigures(packIds, protocol, tx);
    if (protocol.load.kind !== "set-current") return ofRuns;
    return [...ofRuns, ...(await this.ladders.countedFigures(packIds, protocol, protocol.load.ladder, tx))];
  }
}

function packFigures(counted: readonly CountedFigure[]): PackFigure[] {
  const groups = Map.groupBy(counted, (row) => `${row.packId} ${row.figure} ${sideOf(row)}`);
  return [...groups.values()].map((rows) => {
    const [first] = rows as [CountedFigure];
    return { packId: first.packId, figure: first.figure, unit: first.unit, basis: sideOf(first), ...packResult(rows) };
  });
}

function standingsOf(pack: RankedPack, protocol: ProtocolDocument, figures: readonly PackFigure[]): NewStanding[] {
  const found = (figure: string, basis: string) => figures.find((one) => one.figure === figure && one.basis === basis);
  return protocol.ranked.flatMap(({ figure, basis, better }) => {
    const result = found(figure, basis);
    if (!result) return [];
    const { id: packId, chemistry, series, ratedCapacityMah } = pack;
    return [
      {
        ...result,
        protocolKey: protocol.key,
        packId,
        chemistry,
        series,
        ratedCapacityMah,
        ownLoadValue: found(figure, "own")?.value ?? null,
        sortValue: better === "higher" ? result.value : -result.value,
      },
    ];
  });
}
