import { Injectable, type OnModuleDestroy } from "@nestjs/common";
import type { RunState } from "../../../core/lifecycle/run-lifecycle.js";
import type { Caller } from "../../../platform/auth/account.js";
import { OpenStreams } from "../../../platform/auth/open-streams.js";
import { isDatabaseUnavailable } from "../../../platform/database/errors.js";
import { LatestValue } from "../../../platform/notifications/latest-value.js";
import { Notifications } from "../../../platform/notifications/notifications.js";
import { Problem } from "../../../platform/problems/problem.js";
import { RunsService } from "../runs.service.js";
import { isOver, type RunProgress, STAGE_OF_STATE, STAGES } from "./progress.js";
import { ProgressRepository } from "./progress.repository.js";

/** Most listeners of one process at a time. */
const MAX_LISTENERS = 256;
/** How long nothing may happen until a sign of life is sent and the record is looked at again, ms. */
const QUIET_MS = 15_000;

/** Progress as it comes; null is a sign of life. */
export type ProgressEvents = AsyncGenerator<RunProgress | null, void, undefined>;

/** Tells listeners how far the evaluation of a run has come, whichever process evaluates it. */
@Injectable()
export class EventsService implements OnModuleDestroy {
  private readonly listeners = new Set<AbortController>();

  constructor(
    private readonly runsService: RunsService,
    private readonly progressRepository: ProgressRepository,
    private readonly notifications: Notifications,
    private readonly openStreams: OpenStreams,
  ) {}

  /**
   * The present state first, then every change, until the run is processed or failed, `left` is signalled, the session or key has
   * ended, or the caller may no longer know the run.
   *
   * @throws Problem when the caller may not know the run, or when too many are listening
   */
  async follow(id: string, caller: Caller | null, left: AbortSignal): Promise<ProgressEvents> {
    const run = await this.runsService.visible(id, caller);
    if (this.listeners.size >= MAX_LISTENERS) {
      throw new Problem(
        "too-many-listeners",
        `At most ${MAX_LISTENERS} can listen at a time. Ask for the run instead.`,
      );
    }
    return this.openStreams.follow({
      caller,
      left,
      open: (signal) => this.events(run.id, signal),
      maySee: (now) => this.isVisible(run.id, now),
    });
  }

  /**
   * Whether nothing follows the event that a client has seen last: the evaluation is over, and that event was not one of
   * an earlier stage.
   *
   * @throws Problem when the caller may not know the run
   */
  async hasSeenEnd(id: string, caller: Caller | null, lastEventId: string): Promise<boolean> {
    const run = await this.runsService.visible(id, caller);
    const wasBefore = STAGES.some((stage) => stage === lastEventId && !isOver({ stage }));
    return !wasBefore && isOver({ stage: STAGE_OF_STATE[await this.progressRepository.stateOf(run.id)] });
  }

  /**
   * Waits for the end of a run's evaluation.
   *
   * @param until when it is waited for no longer, in ms of `performance`
   * @returns the run's state then
   */
  awaitEnd(id: string, until: number): Promise<RunState> {
    return this.notifications.watch(
      id,
      () => this.progressRepository.stateOf(id),
      (state) => isOver({ stage: STAGE_OF_STATE[state] }),
      until,
      {
        isNews: (message) => isOver(message as RunProgress),
        // It is told by the transaction that made it so, and stays so; a failed one may have been tried again since.
        toldBy: (message) => ((message as RunProgress).stage === "processed" ? "processed" : null),
      },
    );
  }

  /** Listeners are sent away, so that their connections do not hold up the end of the service. */
  onModuleDestroy(): void {
    for (const listener of this.listeners) listener.abort();
  }

  private async isVisible(id: string, caller: Caller | null): Promise<boolean> {
    try {
      await this.runsService.visible(id, caller);
      return true;
    } catch (error) {
      if (error instanceof Problem && error.code === "not-found") return false;
      throw error;
    }
  }

  private async *events(id: string, left: AbortSignal): ProgressEvents {
    const closing = new AbortController();
    const signal = AbortSignal.any([left, closing.signal]);
    const heard = new LatestValue<RunProgress | null>();
    this.listeners.add(closing);
    let stop = () => {};
    try {
      stop = await this.notifications.listen(id, (message) => heard.put(message as RunProgress | null));
      let shown = await this.progressRepository.of(id);
      yield shown;
      while (!isOver(shown) && !signal.aborted) {
        const news = await heard.take(QUIET_MS, signal);
        if (signal.aborted) return;
        if (!news) yield null;
        const next = news?.value ?? (await this.lookAgain(id, shown));
        if (next) {
          shown = next;
          yield shown;
        }
      }
    } finally {
      stop();
      this.listeners.delete(closing);
    }
  }

  /** What the record says beyond what was shown; null when that is nothing, or when it cannot be asked now. */
  private async lookAgain(id: string, shown: RunProgress): Promise<RunProgress | null> {
    try {
      const now = await this.progressRepository.of(id);
      return STAGES.indexOf(now.stage) > STAGES.indexOf(shown.stage) ? now : null;
    } catch (error) {
      if (isDatabaseUnavailable(error)) return null;
      throw error;
    }
  }
}
