import { createHash } from "node:crypto";
import { Injectable } from "@nestjs/common";
import { BUDGETS_ENCODING, encodeBudgets } from "../../../core/figures/stored-budgets.js";
import type { Evaluation, Figure } from "../../../core/model.js";
import type { Prisma } from "../../../generated/prisma/client.js";
import { AuditLog } from "../../../platform/audit-log/audit-log.js";
import { digestOfEvaluation } from "../../../platform/audit-log/evaluation-digest.js";
import type { Transaction } from "../../../platform/database/database.js";
import { figureColumns } from "../../../platform/database/rows/figure-rows.js";
import { storedFindings } from "../../../platform/database/rows/finding-rows.js";
import { bytesText, insertRowsOf } from "../../../platform/database/rows/insert-rows.js";
import { columnOfLoad } from "../../../platform/database/rows/load-column.js";
import { newId } from "../../../platform/database/rows/uuid.js";

export interface EncodedTrace {
  readonly encoding: string;
  readonly data: Uint8Array<ArrayBuffer>;
}

/** Keeps evaluations. None is ever changed; which one of a run's counts is the run's own. */
@Injectable()
export class EvaluationsRepository {
  constructor(private readonly auditLog: AuditLog) {}

  /** Keeps an evaluation of a run, and its digest in the audit log; the transaction is one of the audit log. Returns its id. */
  async add(
    tx: Transaction,
    run: { readonly id: string; readonly logSha256: Uint8Array<ArrayBuffer> },
    { protocol, log, ...evaluation }: Evaluation,
    trace: EncodedTrace,
  ): Promise<string> {
    const facts = {
      runId: run.id,
      protocolKey: protocol.key,
      protocolVersion: protocol.version,
      computationVersion: evaluation.computationVersion,
      logSha256: run.logSha256,
      verdict: evaluation.verdict,
      rows: log.rows,
      columns: toJson(log.columns),
      ...evaluation.trace,
    };
    const figures = evaluation.figures.map(figureColumns);
    const findings = evaluation.findings.map(({ span, ...finding }, position) => ({
      ...finding,
      position,
      spanFromS: span?.fromS ?? null,
      spanToS: span?.toS ?? null,
    }));
    const adjustments = evaluation.adjustments.map((adjustment, position) => ({ ...adjustment, position }));
    const id = newId();
    const { rows, others } = storedFindings(findings);
    const ofEvaluation = (row: object) => ({ evaluationId: id, ...row });
    await insertRowsOf(tx, {
      evaluation: [{ id, ...facts, logSha256: bytesText(run.logSha256) }],
      trace: [ofEvaluation({ encoding: trace.encoding, data: bytesText(trace.data) })],
      figure: figures.map((figure) => ofEvaluation({ ...figure, budget: [] })),
      figure_budget: [
        ofEvaluation({ encoding: BUDGETS_ENCODING, data: bytesText(encodeBudgets(evaluation.figures.map(named))) }),
      ],
      finding: rows.map(ofEvaluation),
      other_findings: [ofEvaluation({ encoding: others.encoding, data: bytesText(others.data) })],
      adjustment: adjustments.map(ofEvaluation),
    });
    const sha256 = createHash("sha256").update(trace.data).digest("hex");
    const digest = digestOfEvaluation(
      { ...facts, figures, findings, adjustments },
      { encoding: trace.encoding, sha256 },
    );
    this.auditLog.record(tx, { actorId: null, event: "evaluate", subject: { kind: "evaluation", id }, to: digest });
    return id;
  }
}

/** As its columns name it. */
const named = ({ load, ...figure }: Figure) => ({ ...figure, load: columnOfLoad(load) });

const toJson = (value: unknown): Prisma.InputJsonArray => value as Prisma.InputJsonArray;
