import { createHash } from "node:crypto";
import { digestOfEvaluation } from "../../platform/audit-log/evaluation-digest.js";
import type { Database } from "../../platform/database/database.js";
import { DamagedLog } from "../../platform/storage/log-chunks.repository.js";
import { type RecordedAccount, type RecordedRun, RecordedStateRepository } from "./recorded-state.repository.js";

/** Something in the database that is not as the audit log, or its own digest, says. */
export interface Discrepancy {
  readonly kind: "run" | "account" | "evaluation" | "log";
  /** Id, or SHA-256 of a log. */
  readonly id: string;
  readonly why: string;
}

/**
 * Holds the state against the audit log that describes it: review states of runs, roles of accounts, evaluations with their
 * figures against their digests, logs against their SHA-256. Rows are read in bounded portions, so that the memory it takes does not
 * grow with the record. The chain itself is verified by `verifyChain`: without that, this says nothing.
 */
export async function* discrepancies(database: Database): AsyncGenerator<Discrepancy> {
  const repository = new RecordedStateRepository(database);
  for await (const { position, kind, id } of repository.missing()) {
    yield {
      kind: kind as Discrepancy["kind"],
      id,
      why: `entry ${position} says that it was stored, and it is missing`,
    };
  }
  for await (const run of repository.runs()) {
    const why = faultOfRun(run);
    if (why) yield { kind: "run", id: run.id, why };
  }
  for await (const account of repository.accounts()) {
    const why = faultOfAccount(account);
    if (why) yield { kind: "account", id: account.id, why };
  }
  for await (const { id, runId, whole, trace } of repository.evaluations()) {
    const why = !trace
      ? "its trace is missing"
      : trace.recorded === null
        ? "the audit log has no digest of it"
        : whole && digestOfEvaluation(whole, trace) === trace.recorded
          ? null
          : "its figures, findings, trace or verdict are not those of its digest in the audit log";
    if (why) yield { kind: "evaluation", id, why: `${why} (run ${runId})` };
  }
  for await (const { sha256, bytes } of repository.logs()) {
    if (!(await hasDigest(repository, sha256, bytes))) {
      yield { kind: "log", id: sha256.toString("hex"), why: "its bytes do not have this SHA-256" };
    }
  }
}

async function hasDigest(
  repository: RecordedStateRepository,
  sha256: Buffer<ArrayBuffer>,
  bytes: number,
): Promise<boolean> {
  const hash = createHash("sha256");
  let read = 0;
  try {
    for await (const chunk of repository.chunks(sha256)) {
      hash.update(chunk);
      read += chunk.length;
    }
  } catch (error) {
    if (error instanceof DamagedLog) return false;
    throw error;
  }
  return read === bytes && hash.digest().equals(sha256);
}

function faultOfRun({ status, recorded, isOfItsLog }: RecordedRun): string | null {
  if (recorded === null) return "the audit log has no entry of it";
  if (recorded !== status) return `it is ${status}, and the audit log says ${recorded}`;
  return isOfItsLog === false ? "its current evaluation is of another log" : null;
}

function faultOfAccount({ role, isErased, recorded }: RecordedAccount): string | null {
  if (recorded === null) return "the audit log has no entry of it";
  const expected = recorded === "erased" ? "tester" : recorded;
  if (role !== expected) return `its role is ${role}, and the audit log says ${expected}`;
  return isErased === (recorded === "erased")
    ? null
    : `it ${isErased ? "is" : "is not"} erased, and the audit log says otherwise`;
}
