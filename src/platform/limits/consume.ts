import { type RateLimiterAbstract, RateLimiterRes } from "rate-limiter-flexible";
import { Problem } from "../problems/problem.js";

/** Counts one, at once and before what it stands for is done. The limiter tells that a limit is passed by throwing its state. */
export async function consume(limiter: RateLimiterAbstract, key: string): Promise<RateLimiterRes> {
  try {
    return await limiter.consume(key);
  } catch (error) {
    if (error instanceof RateLimiterRes) return error;
    throw error;
  }
}

/** @param detail what there was too much of */
export function tooMany({ msBeforeNext }: Pick<RateLimiterRes, "msBeforeNext">, detail: string): Problem {
  const retryAfterSeconds = Math.max(1, Math.ceil(msBeforeNext / 1000));
  return new Problem("too-many-requests", `${detail} Try again in ${retryAfterSeconds} s.`, {
    extensions: { retryAfterSeconds },
  });
}
