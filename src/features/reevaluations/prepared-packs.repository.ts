import { Injectable } from "@nestjs/common";
import { Prisma } from "../../generated/prisma/client.js";
import type { Transaction } from "../../platform/database/database.js";
import { columnOf, insertRows } from "../../platform/database/rows/insert-rows.js";
import type { ComputedPacks, FigureScatter, RankedPack } from "../rankings/standings.service.js";

/** Keeps what a re-evaluation has computed of packs until it ends, and puts it in the place of what counts then. */
@Injectable()
export class PreparedPacksRepository {
  /** The next packs, by id, with runs that count or counted, which are not prepared. */
  async unprepared(
    tx: Transaction,
    id: string,
    protocolKey: string,
    after: string | null,
    take: number,
  ): Promise<RankedPack[]> {
    return tx.$queryRaw<RankedPack[]>`
      SELECT pack.id::text, pack.chemistry, pack.series, pack.rated_capacity_mah AS "ratedCapacityMah" FROM pack
      WHERE ${after === null ? Prisma.sql`true` : Prisma.sql`pack.id > ${after}::uuid`}
        AND NOT EXISTS (SELECT FROM prepared_pack WHERE prepared_pack.reevaluation_id = ${id}::uuid AND prepared_pack.pack_id = pack.id)
        AND EXISTS (SELECT FROM run WHERE run.pack_id = pack.id AND run.protocol_key = ${protocolKey}
          AND (run.review_state = 'accepted' OR run.withdrawn_from = 'accepted'))
      ORDER BY pack.id LIMIT ${take}::int`;
  }

  /** Keeps what was computed of packs, those without any standing too. */
  async store(tx: Transaction, id: string, packs: readonly RankedPack[], computed: ComputedPacks): Promise<void> {
    const ofPack = <T extends { readonly packId: string }>(rows: readonly T[]) => {
      const byPack = Map.groupBy(rows, ({ packId }) => packId);
      return (packId: string) => (byPack.get(packId) ?? []).map(rowOf);
    };
    const [standings, results] = [
      ofPack(computed.standings as readonly { packId: string }[]),
      ofPack(computed.results),
    ];
    const [confirmed, scatter] = [ofPack(computed.confirmed), ofPack(computed.scatter)];
    const rows = packs.map(({ id: packId }) => ({
      reevaluationId: id,
      packId,
      standings: standings(packId),
      results: results(packId),
      confirmed: confirmed(packId),
      scatter: scatter(packId),
    }));
    await insertRows(tx, "prepared_pack", rows);
  }

  /** Takes away what was prepared of a run's pack. */
  async dropOfRun(tx: Transaction, id: string, runId: string): Promise<void> {
    await tx.$executeRaw`
      DELETE FROM prepared_pack WHERE reevaluation_id = ${id}::uuid
        AND pack_id = (SELECT pack_id FROM run WHERE id = ${runId}::uuid)`;
  }

  /** Takes away everything that a re-evaluation has prepared. */
  async drop(tx: Transaction, id: string): Promise<void> {
    await tx.$executeRaw`DELETE FROM prepared_pack WHERE reevaluation_id = ${id}::uuid`;
  }

  /** Puts everything that was prepared in the place of all standings of a protocol and of what these are made of. */
  async putInPlace(tx: Transaction, id: string, protocolKey: string): Promise<void> {
    await tx.$executeRaw`DELETE FROM tester_result WHERE protocol_key = ${protocolKey}`;
    await tx.$executeRaw`
      INSERT INTO tester_result SELECT result.* FROM prepared_pack AS prepared,
        jsonb_populate_recordset(NULL::tester_result, prepared.results) AS result
      WHERE prepared.reevaluation_id = ${id}::uuid`;
    // What is confirmed of a pack outlives its standings.
    await tx.$executeRaw`
      DELETE FROM confirmed_value USING prepared_pack AS prepared
      WHERE prepared.reevaluation_id = ${id}::uuid AND prepared.confirmed <> '[]' AND confirmed_value.pack_id = prepared.pack_id
        AND confirmed_value.protocol_key = ${protocolKey}`;
    await tx.$executeRaw`
      INSERT INTO confirmed_value SELECT confirmed.* FROM prepared_pack AS prepared,
        jsonb_populate_recordset(NULL::confirmed_value, prepared.confirmed) AS confirmed
      WHERE prepared.reevaluation_id = ${id}::uuid`;
    await tx.$executeRaw`DELETE FROM standing WHERE protocol_key = ${protocolKey}`;
    await tx.$executeRaw`
      INSERT INTO standing (${STANDING_COLUMNS}, chemistry, series, rated_capacity_mah)
      SELECT ${standingColumnsOf("standing")}, pack.chemistry, pack.series, pack.rated_capacity_mah
      FROM prepared_pack AS prepared
      JOIN pack ON pack.id = prepared.pack_id
      CROSS JOIN LATERAL jsonb_populate_recordset(NULL::standing, prepared.standings) AS standing
      WHERE prepared.reevaluation_id = ${id}::uuid`;
  }

  /** How far the results scatter that were prepared, by figure and basis. */
  scatter(tx: Transaction, id: string): Promise<FigureScatter[]> {
    return tx.$queryRaw<FigureScatter[]>`
      SELECT scatter.figure, scatter.basis, sum(scatter.squares ORDER BY prepared.pack_id) AS squares,
        sum(scatter.degrees_of_freedom)::int AS "degreesOfFreedom"
      FROM prepared_pack AS prepared, jsonb_to_recordset(prepared.scatter)
        AS scatter (figure text, basis text, squares float8, degrees_of_freedom int)
      WHERE prepared.reevaluation_id = ${id}::uuid
      GROUP BY scatter.figure, scatter.basis ORDER BY scatter.figure, scatter.basis`;
  }
}

const rowOf = (row: object): object =>
  Object.fromEntries(Object.entries(row).map(([key, value]) => [columnOf(key), value]));

const STANDING = [
  "protocol_key",
  "protocol_version",
  "computation_version",
  "figure",
  "load",
  "pack_id",
  "value",
  "unit",
  "uncertainty",
  "degrees_of_freedom",
  "testers",
  "runs",
  "established",
  "basis",
  "own_load_value",
  "sort_value",
  "computed_value",
  "disputed",
  "testers_beside",
  "held",
];
const STANDING_COLUMNS = Prisma.raw(STANDING.join(", "));
const standingColumnsOf = (table: string) => Prisma.raw(STANDING.map((column) => `${table}.${column}`).join(", "));
