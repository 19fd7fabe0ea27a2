import { NotPublic } from "../../../platform/outgoing/public-address.js";

/** Codes of the system, TLS and HTTP that a fault may be called by. */
const CODE = /^[A-Z][A-Z0-9_]{2,60}$/;

/** Standard Webhooks 1.0: any status of 2xx says that the message was taken. */
export const isTaken = (status: number | string): status is number =>
  typeof status === "number" && status >= 200 && status < 300;

/** Standard Webhooks 1.0: 410 asks that nothing more is sent (RFC 9110, 15.5.11). */
export const isGone = (status: number | string): boolean => status === 410;

/** Why there was no answer, in words that tell nothing of this machine's network. */
export function faultOf(error: unknown, seconds: number): string {
  if (error instanceof NotPublic) return error.message;
  const { name, code } = error as { name?: string; code?: unknown };
  if (name === "AbortError" || name === "TimeoutError") return `no answer within ${seconds} s`;
  return typeof code === "string" && CODE.test(code) ? `no answer: ${code}` : "no answer";
}
