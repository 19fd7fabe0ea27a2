import { Injectable } from "@nestjs/common";
import { Database } from "../../../platform/database/database.js";
import type { QuestionView } from "./question.views.js";

interface QuestionRow {
  readonly runId: string;
  readonly at: Date;
  readonly rules: string[];
  readonly note: string | null;
}

/** Reads the questions that stand in runs: the last one of each run that awaits its tester's answer. */
@Injectable()
export class QuestionsRepository {
  constructor(private readonly database: Database) {}

  /** By run; runs of which nothing is asked now are left out. */
  async openOf(runIds: readonly string[]): Promise<Map<string, QuestionView>> {
    if (runIds.length === 0) return new Map();
    const rows = await this.database.$queryRaw<QuestionRow[]>`
      SELECT run.id::text AS "runId", asked.at, asked.rules, audit_reason.text AS note
      FROM run
      CROSS JOIN LATERAL (SELECT position, at, rules FROM audit_log
        WHERE subject_kind = 'run' AND subject_id = run.id::text AND event = 'request-info'
        ORDER BY position DESC LIMIT 1) AS asked
      LEFT JOIN audit_reason ON audit_reason.position = asked.position
      WHERE run.id = ANY(${[...runIds]}::uuid[]) AND run.review_state = 'info-requested'`;
    return new Map(rows.map((row) => [row.runId, questionView(row)]));
  }
}

function questionView({ runId, at, rules, note }: QuestionRow): QuestionView {
  return {
    askedBy: "moderator",
    note,
    rules,
    since: at.toISOString(),
    howToAnswer: `Its tester answers with POST /v1/runs/${runId}/answers {"note": "..."}, and may name in replacedBy a later run that takes its place; in GraphQL with answerReview.`,
  };
}
