import type { RateLimiterRes } from "rate-limiter-flexible";
import { serializeList } from "structured-headers";

/** The fields `RateLimit-Policy` and `RateLimit` (draft-ietf-httpapi-ratelimit-headers-10, 3 and 4; RFC 9651). */
export function rateLimitFields(
  name: string,
  quota: number,
  windowSeconds: number,
  { remainingPoints, msBeforeNext }: RateLimiterRes,
): Readonly<Record<string, string>> {
  const item = (parameters: Readonly<Record<string, number>>) =>
    serializeList([[name, new Map(Object.entries(parameters))]]);
  return {
    "ratelimit-policy": item({ q: quota, w: windowSeconds }),
    ratelimit: item({ r: Math.max(0, remainingPoints), t: Math.max(0, Math.ceil(msBeforeNext / 1000)) }),
  };
}
