import { SetMetadata } from "@nestjs/common";

export const ANSWER_HOLDS_SECRET = "answer holds a secret";

/**
 * The answer is shown once and kept nowhere: an idempotency key has no effect here but that its form is checked. Nor is it
 * compressed: its length would tell of a secret that stands beside what the client sent.
 */
export function AnswerHoldsSecret() {
  return SetMetadata(ANSWER_HOLDS_SECRET, true);
}
