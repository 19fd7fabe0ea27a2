/**
 * What a moderator does who has a stake in what is touched: whoever has ever uploaded a run in the same class.
 * refused: another moderator must do it; proposed: it is a proposal, which another moderator makes effective;
 * free: it bears on no place in a ranking, for the reason that stands beside it.
 */
export type Stake = "refused" | "proposed" | "free";

/** Every act of a moderator, a read being none. One that is missing here fails the test. */
export const STAKE_ROWS: Readonly<Record<string, Stake>> = {
  "POST /v1/runs/{id}/reviews": "proposed",
  "POST /v1/reviews": "proposed",
  // Whoever made it has shown no stake then, or made a proposal; one of the auto-accept policy is refused.
  "DELETE /v1/reviews/{id}": "free",
  // A claim ends after half an hour, and a run waits no longer than an hour a day by it.
  "PUT /v1/reviews/{runId}/claim": "free",
  "DELETE /v1/reviews/{runId}/claim": "free",
  "POST /v1/reviews/claims": "free",
  "DELETE /v1/reviews/claims": "free",
  "PATCH /v1/packs/{id}": "refused",
  "PATCH /v1/runs/{id}": "refused",
  "POST /v1/packs/{id}/merge": "refused",
  "DELETE /v1/packs/{id}/merge": "refused",
  "POST /v1/packs/{id}/confirmation": "refused",
  "DELETE /v1/packs/{id}/confirmation": "refused",
  "POST /v1/packs/{id}/hiding": "refused",
  "DELETE /v1/packs/{id}/hiding": "refused",
  "POST /v1/packs/{id}/sealed-round": "refused",
  "POST /v1/accounts/{handle}/suspension": "refused",
  "DELETE /v1/accounts/{handle}/suspension": "refused",
  "POST /v1/testers/{handle}/vouch": "refused",
  "DELETE /v1/testers/{handle}/vouch": "refused",
  "POST /v1/runs/{id}/withdrawal-excuse": "refused",
  "POST /v1/standing-reviews/disputes": "refused",
  "POST /v1/standing-reviews/held-results": "refused",
};
