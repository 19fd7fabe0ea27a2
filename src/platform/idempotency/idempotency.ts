import { createHash, randomUUID, scrypt, timingSafeEqual } from "node:crypto";
import { promisify } from "node:util";
import { Injectable, Logger } from "@nestjs/common";
import type { FastifyReply, FastifyRequest } from "fastify";
import { callerOf } from "../auth/account.js";
import { Problem } from "../problems/problem.js";
import { toProblem } from "../problems/to-problem.js";
import { type Answer, type Claim, ClaimsRepository, RENEWAL_MS } from "./claims.repository.js";
import { readKey } from "./key.js";

/** Says that the answer is the one given before; a Boolean of structured fields (RFC 9651, 3.3.6). */
const REPLAYED = "idempotency-replayed";

/** Refusals that the request alone causes; any other may pass, and the request is worth another try. */
const LASTING_STATUS: ReadonlySet<number> = new Set([400, 413, 415, 422]);

const slowHash = promisify<Buffer, Buffer, number, Buffer>(scrypt);

/** Lets a request that carries an idempotency key be sent again and be done once. */
@Injectable()
export class Idempotency {
  private readonly logger = new Logger("Idempotency");

  constructor(private readonly claimsRepository: ClaimsRepository) {}

  /**
   * Does the work of a request and keeps its answer; when the same request was answered before, gives that answer.
   * Without a key it just does the work.
   *
   * @param payload what the request brought, as bytes or a hash of them
   * @param onRetry what a retry is answered in place of an answer that may not be kept
   * @throws Problem `idempotency-key-reused` for another payload, `idempotency-key-in-use` while the first is at work
   */
  async once<T>(
    request: FastifyRequest,
    reply: FastifyReply,
    payload: string | Uint8Array,
    work: () => Promise<T>,
    onRetry?: Problem,
  ): Promise<T | string> {
    const key = readKey(request);
    if (key === null) return work();
    const claim = await claimFor(request, key, payload);
    const other = await this.claimsRepository.take(claim);
    if (!other) return this.doOnce(request, reply, claim, work, onRetry);
    if (!timingSafeEqual(claim.fingerprint, other.fingerprint)) {
      throw new Problem("idempotency-key-reused", "Another request had this key. Draw a new key for each new request.");
    }
    if (!other.answer) {
      reply.header("retry-after", "1");
      throw new Problem(
        "idempotency-key-in-use",
        "The first request with this key is still at work. Send it again shortly.",
      );
    }
    const { status, headers, body } = other.answer;
    reply.status(status).headers({ ...headers, [REPLAYED]: "?1" });
    // What had no body then was nothing to begin with.
    return body === "" ? (undefined as T) : body;
  }

  private async doOnce<T>(
    request: FastifyRequest,
    reply: FastifyReply,
    claim: Claim,
    work: () => Promise<T>,
    onRetry: Problem | undefined,
  ): Promise<T> {
    const renewal = setInterval(() => this.renew(claim), RENEWAL_MS);
    try {
      const result = await work();
      // Bytes, such as a picture, are made again: they are only read.
      if (result instanceof Uint8Array) await this.claimsRepository.release(claim);
      else
        await this.claimsRepository.keep(claim, onRetry ? answerOfProblem(onRetry, request) : answerOf(result, reply));
      return result;
    } catch (error) {
      const problem = toProblem(error);
      if (problem && isLasting(problem)) await this.claimsRepository.keep(claim, answerOfProblem(problem, request));
      else await this.claimsRepository.release(claim);
      throw error;
    } finally {
      clearInterval(renewal);
    }
  }

  /** A renewal that fails is tried again; when none succeeds the claim lapses. */
  private renew(claim: Claim): void {
    this.claimsRepository
      .renew(claim)
      .catch((error: Error) => this.logger.warn(`a claim was not renewed: ${error.message}`));
  }
}

/**
 * A key belongs to the account; without a session it belongs to whoever has it. What was sent without a session may
 * hold a password, so that its fingerprint must not be cheap to guess from.
 */
async function claimFor(request: FastifyRequest, key: string, payload: string | Uint8Array): Promise<Claim> {
  const accountId = callerOf(request)?.id ?? null;
  const id = sha256(accountId ?? "", key);
  const exact = sha256(request.method, request.url, payload);
  const fingerprint = accountId ? exact : Buffer.from(await slowHash(exact, id, 32));
  return { id, accountId, fingerprint, claim: randomUUID() };
}

function sha256(...parts: readonly (string | Uint8Array)[]): Buffer<ArrayBuffer> {
  const hash = createHash("sha256");
  for (const part of parts) hash.update(createHash("sha256").update(part).digest());
  return hash.digest();
}

/** An empty text stands for no body. */
function answerOf(result: unknown, reply: FastifyReply): Answer {
  if (result === undefined) return { status: reply.statusCode, headers: {}, body: "" };
  const location = reply.getHeader("location");
  const type = reply.getHeader("content-type");
  // What names its own media type is sent as it is, such as a table.
  const isText = typeof result === "string" && type !== undefined;
  return {
    status: reply.statusCode,
    headers: {
      "content-type": isText ? String(type) : "application/json; charset=utf-8",
      ...(location === undefined ? {} : { location: String(location) }),
    },
    body: isText ? result : JSON.stringify(result),
  };
}

function isLasting({ status, code }: Problem): boolean {
  return LASTING_STATUS.has(status) && code !== "unknown-reference";
}

function answerOfProblem(problem: Problem, request: FastifyRequest): Answer {
  return {
    status: problem.status,
    headers: { "content-type": "application/problem+json; charset=utf-8", "cache-control": "no-store" },
    body: JSON.stringify(problem.toBody(request.id)),
  };
}
