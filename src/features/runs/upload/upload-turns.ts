import { Inject, Injectable } from "@nestjs/common";
import { LRUCache } from "lru-cache";
import { CONFIG, type Config } from "../../../platform/config/config.js";
import { EventsService } from "../progress/events.service.js";
import { isOver, STAGE_OF_STATE } from "../progress/progress.js";

/** A further upload waits so many times as long for its turn as an answer waits for its evaluation. */
const WAIT_FACTOR = 2;
/** Testers who are remembered, and for how long, ms. */
const MAX_TESTERS = 10_000;
const REMEMBERED_MS = 600_000;

/**
 * Where more is uploaded than can be evaluated: a tester whose last run was answered before its figures were there waits with the next one until
 * they are, for a while at most. So what waits to be evaluated stays about as long as there are testers, and receiving takes no processor
 * time that evaluating needs; who uploads for the first time waits for nobody.
 */
@Injectable()
export class UploadTurns {
  private readonly unfinished = new LRUCache<string, string>({ max: MAX_TESTERS, ttl: REMEMBERED_MS });

  constructor(
    private readonly eventsService: EventsService,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /** Notes that a tester was answered while a run still waited for its evaluation. */
  noteUnfinished(testerId: string, runId: string): void {
    this.unfinished.set(testerId, runId);
  }

  /** Waits for a tester's turn, before anything of the upload is received. */
  async take(testerId: string): Promise<void> {
    const runId = this.unfinished.get(testerId);
    if (runId === undefined) return;
    const until = performance.now() + WAIT_FACTOR * this.config.waitSeconds * 1000;
    const state = await this.eventsService.awaitEnd(runId, until);
    if (isOver({ stage: STAGE_OF_STATE[state] }) && this.unfinished.get(testerId) === runId)
      this.unfinished.delete(testerId);
  }
}
