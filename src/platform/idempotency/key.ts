import type { FastifyRequest } from "fastify";
import { ParseError, parseItem } from "structured-headers";
import { Problem } from "../problems/problem.js";

const MAX_KEY_LENGTH = 255;

/** Visible ASCII without what structured fields give a meaning: many clients send a UUID as it is. */
const BARE_KEY = /^[!#-+\--:<-[\]-~]+$/;

/**
 * The value of the field `Idempotency-Key` (draft-ietf-httpapi-idempotency-key-header-07, 2.1): an Item whose value is
 * a String (RFC 9651, 3.3.3), or the same value without its quotation marks. Null when there is no such field.
 *
 * @throws Problem `invalid-idempotency-key`
 */
export function readKey(request: FastifyRequest): string | null {
  const field = request.headers["idempotency-key"];
  if (field === undefined) return null;
  const text = String(field).trim();
  const value = BARE_KEY.test(text) ? text : itemIn(text);
  if (typeof value !== "string" || value === "" || value.length > MAX_KEY_LENGTH) {
    throw new Problem(
      "invalid-idempotency-key",
      `Send one text of 1 to ${MAX_KEY_LENGTH} printable ASCII characters, quoted where it holds other than letters, digits and hyphens, such as Idempotency-Key: "8e03978e-40d5-43dd-bc93-6894a57f9324".`,
    );
  }
  return value;
}

function itemIn(field: string): unknown {
  try {
    return parseItem(field)[0];
  } catch (error) {
    if (error instanceof ParseError) return null;
    throw error;
  }
}
