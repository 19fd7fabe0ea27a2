import { Injectable } from "@nestjs/common";
import { Database } from "../../../platform/database/database.js";
import { isUuid } from "../../../platform/database/rows/uuid.js";
import type { RunInput } from "./run-inputs.js";

/** What the run of an upload refers to. */
export interface UploadReferences {
  readonly specimenId: string;
  /** Age of the specimen, full cycles. */
  readonly cycles: number;
  /** Of the newest version of the bench. */
  readonly benchId: string;
  /** The version of the protocol that is named, or its newest. */
  readonly protocolVersion: number;
  /** The active version of the protocol; null for none. */
  readonly activeVersion: number | null;
}

const REFERENCES = `
  SELECT specimen.id::text AS "specimenId", specimen.cycles, coalesce(bench.replaced_by_id, bench.id)::text AS "benchId",
    protocol.version AS "protocolVersion", active_version.protocol_version AS "activeVersion"
  FROM specimen JOIN bench ON bench.owner_id = specimen.owner_id JOIN protocol ON protocol.key = $3
  LEFT JOIN active_version ON active_version.protocol_key = protocol.key
  WHERE specimen.id = $1::uuid AND specimen.owner_id = $5::uuid AND bench.id = $2::uuid
    AND ($4::int IS NULL OR protocol.version = $4::int)
  ORDER BY protocol.version DESC LIMIT 1`;

/** Finds what uploads refer to, in one statement. */
@Injectable()
export class UploadReferencesRepository {
  constructor(private readonly database: Database) {}

  /** Null where something of it does not exist, or is not the tester's own. */
  async find(input: RunInput, testerId: string): Promise<UploadReferences | null> {
    const { specimenId, benchId, protocol, protocolVersion = null } = input;
    if (!isUuid(specimenId) || !isUuid(benchId)) return null;
    const values = [specimenId, benchId, protocol, protocolVersion, testerId];
    const [found] = await this.database.prepared<UploadReferences>("upload-references", REFERENCES, values);
    return found ?? null;
  }
}
