import { Injectable } from "@nestjs/common";
import { Prisma } from "../../generated/prisma/client.js";
import { Database } from "../../platform/database/database.js";

/** Types of GraphQL that are found by their id alone. */
export type NodeType = "Pack" | "Tester" | "Run" | "Specimen" | "Bench";

/** Who asks: an account or nobody, and whether it reviews. */
export interface Viewer {
  readonly accountId: string | null;
  readonly seesAll: boolean;
}

/** Finds what ids stand for. */
@Injectable()
export class NodesRepository {
  constructor(private readonly database: Database) {}

  /** The types of those ids whose nodes may be seen: specimens and benches are shown with accepted runs. */
  async typesOf(ids: readonly string[], { accountId, seesAll }: Viewer): Promise<ReadonlyMap<string, NodeType>> {
    const among = Prisma.sql`id = ANY(${[...ids]}::uuid[])`;
    const own = (column: string) => Prisma.sql`(${seesAll} OR ${Prisma.raw(column)} = ${accountId}::uuid)`;
    const shown = (column: string) => Prisma.sql`EXISTS (
      SELECT FROM run WHERE ${Prisma.raw(column)} AND run.review_state = 'accepted')`;
    const rows = await this.database.$queryRaw<{ id: string; type: NodeType }[]>`
      SELECT id::text, 'Pack' AS type FROM pack WHERE ${among}
      UNION ALL SELECT id::text, 'Tester' FROM account WHERE ${among}
      UNION ALL SELECT id::text, 'Run' FROM run WHERE ${among} AND (review_state = 'accepted' OR ${own("tester_id")})
      UNION ALL SELECT id::text, 'Specimen' FROM specimen
        WHERE ${among} AND (${own("owner_id")} OR ${shown("run.specimen_id = specimen.id")})
      UNION ALL SELECT id::text, 'Bench' FROM bench
        WHERE ${among} AND (${own("owner_id")} OR ${shown("run.bench_id = bench.id")})`;
    return new Map(rows.map(({ id, type }) => [id, type]));
  }
}
