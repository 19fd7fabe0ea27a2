import { Injectable } from "@nestjs/common";
import { Database } from "../../../platform/database/database.js";
import type { EncodedTrace } from "../evaluation/evaluations.repository.js";

@Injectable()
export class TracesRepository {
  constructor(private readonly database: Database) {}

  /** The stored trace of an evaluation. */
  find(evaluationId: string): Promise<EncodedTrace | null> {
    return this.database.trace.findUnique({ where: { evaluationId }, select: { encoding: true, data: true } });
  }
}
