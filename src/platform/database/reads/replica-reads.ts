import { Injectable } from "@nestjs/common";
import { Metrics } from "../../metrics/metrics.js";
import { Problem } from "../../problems/problem.js";
import { Database } from "../database.js";
import { isEndedByTimeLimit } from "../errors.js";
import { fromReplica, type ReadSource } from "./read-source.js";

/** What was read, and where; null where there is no replica to read at. */
export interface SourcedRead<T> {
  readonly value: T;
  readonly source: ReadSource | null;
}

/**
 * Strangers' reads, done at the replica where there is one that has everything which the primary has shown. One that fails there is done again at the
 * primary from its beginning, so that no answer is made of both.
 */
@Injectable()
export class ReplicaReads {
  constructor(
    private readonly database: Database,
    private readonly metrics: Metrics,
  ) {}

  /** Whether there is a replica at all. */
  get isThere(): boolean {
    return this.database.replica !== null;
  }

  /**
   * @param read what may be done twice
   * @param isFinal whether an error is the answer, or comes too late for another try
   */
  async of<T>(read: () => Promise<T>, isFinal: (error: unknown) => boolean = () => false): Promise<SourcedRead<T>> {
    const { replica } = this.database;
    if (!replica) return { value: await read(), source: null };
    if (await replica.isCurrent()) {
      const { losses } = replica;
      try {
        const value = await fromReplica(read);
        if (replica.losses !== losses) throw new Error("a connection was lost meanwhile");
        return { value, source: "replica" };
      } catch (error) {
        if (isFinal(error) || error instanceof Problem || isEndedByTimeLimit(error)) throw error;
        replica.failed(error);
      }
    }
    return { value: await read(), source: "primary" };
  }

  /** Counts an answer. */
  count({ source }: SourcedRead<unknown>): void {
    if (source) this.metrics.replicaReads.inc({ source });
  }
}
