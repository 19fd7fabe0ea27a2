import { Injectable } from "@nestjs/common";
import type { Evaluation } from "../../../core/model.js";
import type { Prisma } from "../../../generated/prisma/client.js";
import type { Transaction } from "../../../platform/database/database.js";
import { figureColumns } from "../../../platform/database/figure-rows.js";

export interface EncodedTrace {
  readonly encoding: string;
  readonly data: Uint8Array<ArrayBuffer>;
}

/** Keeps evaluations. None is ever changed; which one of a run's counts is the run's own. */
@Injectable()
export class EvaluationsRepository {
  /** Keeps an evaluation of a run. Returns its id. */
  async add(
    tx: Transaction,
    run: { readonly id: string; readonly logSha256: Uint8Array<ArrayBuffer> },
    { protocol, log, ...evaluation }: Evaluation,
    trace: EncodedTrace,
  ): Promise<string> {
    const { id } = await tx.evaluation.create({
      data: {
        runId: run.id,
        protocolKey: protocol.key,
        protocolVersion: protocol.version,
        computationVersion: evaluation.computationVersion,
        logSha256: run.logSha256,
        verdict: evaluation.verdict,
        rows: log.rows,
        columns: toJson(log.columns),
        ...evaluation.trace,
        trace: { create: trace },
        figures: {
          createMany: { data: evaluation.figures.map(figureColumns) },
        },
        findings: {
          createMany: {
            data: evaluation.findings.map(({ span, ...finding }, position) => ({
              ...finding,
              position,
              spanFromS: span?.fromS ?? null,
              spanToS: span?.toS ?? null,
            })),
          },
        },
        adjustments: {
          createMany: { data: evaluation.adjustments.map((adjustment, position) => ({ ...adjustment, position })) },
        },
      },
      select: { id: true },
    });
    return id;
  }
}

const toJson = (value: unknown): Prisma.InputJsonArray => value as Prisma.InputJsonArray;
