import type { RunEvent, RunStatus } from "../../../core/lifecycle/run-lifecycle.js";
import type { AuditEvent } from "../../../platform/audit-log/audit-log.js";
import type { NewNotice } from "../../notices/notice-writer.service.js";

/** Steps of a run of which its tester is told; the others are the tester's own, or the service's work. */
const KINDS: Readonly<Partial<Record<RunEvent, NewNotice["kind"]>>> = {
  "request-info": "question",
  accept: "run-accepted",
  reject: "run-rejected",
  "revoke-acceptance": "acceptance-revoked",
  "undo-to-pending": "decision-undone",
  "undo-to-info-requested": "decision-undone",
  "undo-to-accepted": "decision-undone",
  "undo-to-rejected": "decision-undone",
};

/** What a step of a run's life tells its tester. */
export function noticeOf(
  run: RunStatus & { readonly id: string; readonly testerId: string },
  event: RunEvent,
  { rules = [] }: Pick<AuditEvent, "rules">,
  next: RunStatus,
): NewNotice[] {
  const kind = KINDS[event];
  if (!kind) return [];
  const facts = { rules: [...rules], from: run.review, to: next.review };
  return [{ kind, accountId: run.testerId, subjectId: run.id, facts, reasonOf: { kind: "run", id: run.id, event } }];
}
