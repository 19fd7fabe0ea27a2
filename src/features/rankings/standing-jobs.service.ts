import { Injectable } from "@nestjs/common";
import type { Transaction } from "../../platform/database/database.js";
import { addJobs } from "../../platform/queue/add-job.js";
import { WEIGH_PACK } from "../specimens/specimens.service.js";
import { ResultsRepository } from "./results/results.repository.js";

/** The task that judges a tester's record anew; its payload names the tester. */
export const JUDGE_TESTER = "judge-tester";
/** The task that computes a pack's standings anew from the results that are stored; its payload names pack and protocol. */
export const REFRESH_STANDINGS = "refresh-standings";
/** The task that fits a pack's model anew to its accepted runs; its payload names the pack. */
export const FIT_PACK_MODEL = "fit-pack-model";

/** Queues what follows from a change of results, in the transaction that changes them. */
@Injectable()
export class StandingJobsService {
  constructor(private readonly resultsRepository: ResultsRepository) {}

  /** Queues the computation of packs' standings; packs that already wait are computed once. */
  async queueRefresh(
    tx: Transaction,
    packs: readonly { readonly packId: string; readonly protocolKey: string }[],
  ): Promise<void> {
    const jobs = packs.map((payload) => ({
      payload,
      key: `${REFRESH_STANDINGS}:${payload.protocolKey}:${payload.packId}`,
    }));
    await addJobs(tx, REFRESH_STANDINGS, jobs, "background");
  }

  /** Queues the judgement of testers; those who already wait are judged once. */
  async queueJudgement(tx: Transaction, testerIds: Iterable<string>): Promise<void> {
    const jobs = [...testerIds].map((testerId) => ({ payload: { testerId }, key: `${JUDGE_TESTER}:${testerId}` }));
    await addJobs(tx, JUDGE_TESTER, jobs, "background");
  }

  /** Queues the look at what reference testers weighed of packs, which the runs that count and the testers' status decide. */
  async queueWeighing(tx: Transaction, packIds: readonly string[]): Promise<void> {
    const jobs = packIds.map((packId) => ({ payload: { packId }, key: `${WEIGH_PACK}:${packId}` }));
    await addJobs(tx, WEIGH_PACK, jobs, "background");
  }

  /** Queues the fit of packs' models to their runs; packs that already wait are fitted once. */
  async queueFits(tx: Transaction, packIds: readonly string[]): Promise<void> {
    const jobs = packIds.map((packId) => ({ payload: { packId }, key: `${FIT_PACK_MODEL}:${packId}` }));
    await addJobs(tx, FIT_PACK_MODEL, jobs, "background");
  }

  /** Queues, after every other lock, the computation of all standings, and the judgement of all testers who have results. */
  async queueAll(tx: Transaction): Promise<void> {
    await this.queueRefresh(tx, await this.resultsRepository.packs(tx));
    await this.queueJudgement(tx, await this.resultsRepository.testers(tx));
  }
}
