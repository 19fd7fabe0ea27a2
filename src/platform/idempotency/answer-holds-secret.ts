import { applyDecorators, SetMetadata } from "@nestjs/common";
import { ApiExtension } from "@nestjs/swagger";

export const ANSWER_HOLDS_SECRET = "answer holds a secret";
export const MADE_ONCE = "made once";
/** The member of an operation that says what an idempotency key does for it. */
export const KEY_EFFECT = "x-key-effect";

/**
 * The answer is shown once and kept nowhere: an idempotency key has no effect here but that its form is checked, unless something
 * is made once. Nor is it compressed: its length would tell of a secret that stands beside what the client sent.
 */
export function AnswerHoldsSecret() {
  return holdsSecret("only its form is checked");
}

/**
 * The same where a retry must not make a second one: it is answered `already-exists`, since what was made cannot be shown again.
 *
 * @param what is made, such as "key"
 */
export function MakesSecretOnce(what: string) {
  return applyDecorators(
    holdsSecret("a retry makes no second one and is answered 409 `already-exists`"),
    SetMetadata(MADE_ONCE, what),
  );
}

function holdsSecret(keyEffect: string) {
  return applyDecorators(SetMetadata(ANSWER_HOLDS_SECRET, true), ApiExtension(KEY_EFFECT, keyEffect));
}
