import type { NoticeKind } from "../../src/features/notices/catalogue.js";

/**
 * Of which acts upon what is somebody else's those concerned are told, and by which kind of notice; null where nobody is, for the reason that
 * stands beside it. One that is missing here fails the test.
 */
export const TOLD_ROWS: Readonly<Record<string, NoticeKind | null>> = {
  "POST /v1/runs/{id}/reviews": "run-accepted",
  "POST /v1/reviews": "run-rejected",
  "DELETE /v1/reviews/{id}": "decision-undone",
  // A claim decides on nothing, and ends by itself.
  "PUT /v1/reviews/{runId}/claim": null,
  "DELETE /v1/reviews/{runId}/claim": null,
  "POST /v1/reviews/claims": null,
  "DELETE /v1/reviews/claims": null,
  "PATCH /v1/packs/{id}": "pack-corrected",
  "PATCH /v1/runs/{id}": "run-moved",
  "POST /v1/packs/{id}/merge": "pack-merged",
  "DELETE /v1/packs/{id}/merge": "pack-separated",
  "POST /v1/packs/{id}/confirmation": "pack-confirmed",
  "DELETE /v1/packs/{id}/confirmation": "pack-unconfirmed",
  "POST /v1/packs/{id}/hiding": "pack-hidden",
  "DELETE /v1/packs/{id}/hiding": "pack-shown",
  "POST /v1/packs/{id}/sealed-round": "sealed-round-opened",
  "POST /v1/accounts/{handle}/suspension": "account-suspended",
  "DELETE /v1/accounts/{handle}/suspension": "suspension-lifted",
  "POST /v1/testers/{handle}/vouch": "vouched-for",
  "DELETE /v1/testers/{handle}/vouch": "vouch-revoked",
  "POST /v1/runs/{id}/withdrawal-excuse": "withdrawal-excused",
  // A disputed value is of all testers of the pack together; its decision stands beside it.
  "POST /v1/standing-reviews/disputes": null,
  "POST /v1/standing-reviews/held-results": "held-result-decided",
  "PUT /v1/accounts/{handle}/role": "role-changed",
  // The history of the run says that a reason was erased, and by whom.
  "DELETE /v1/runs/{id}/history/{position}/reason": null,
  // What holds for everybody is no one's own: versions, policies and re-evaluations are public. What a re-evaluation makes of a run is told.
  "POST /v1/protocols/{key}/versions": null,
  "PUT /v1/auto-accept-policy": null,
  "PUT /v1/standing-policy": null,
  "POST /v1/reevaluations": null,
  "DELETE /v1/reevaluations/{id}": null,
};
