import { Injectable } from "@nestjs/common";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import type { Transaction } from "../../platform/database/database.js";
import { Happenings } from "../../platform/record/happenings.js";
import { CountingService } from "../protocols/counting.service.js";
import { StandingsService } from "../rankings/standings.service.js";
import { DecisionsService } from "../runs/decisions.service.js";
import { DryRunRepository } from "./dry-run.repository.js";
import { effectsOf, lapses } from "./effects.js";
import { type ReevaluationRow, ReevaluationsRepository } from "./reevaluations.repository.js";

/** Longest time in which everything is switched, or a dry run is summed up, ms. */
const LONGEST_MS = 15 * 60_000;

/** Ends re-evaluations: lets their evaluations count, all at once, or says what that would change. */
@Injectable()
export class SwitchService {
  constructor(
    private readonly repository: ReevaluationsRepository,
    private readonly dryRuns: DryRunRepository,
    private readonly counting: CountingService,
    private readonly standings: StandingsService,
    private readonly decisions: DecisionsService,
    private readonly happenings: Happenings,
  ) {}

  /** Says what a dry run would change. */
  async report(row: ReevaluationRow): Promise<void> {
    const { id, computationVersion } = row;
    const protocol = row.document as unknown as ProtocolDocument;
    const outcomes = await this.repository.outcomes(id);
    const effects = await this.dryRuns.asIfDone(id, row, LONGEST_MS, async (tx) => {
      const before = await this.standings.all(tx, protocol.key);
      const after = await this.standings.computeAll(tx, { protocol, computationVersion });
      return effectsOf(outcomes, before, after);
    });
    await this.repository.transaction(async (tx) => {
      if (await this.repository.take(tx, id)) await this.repository.end(tx, id, effects);
    });
  }

  /**
   * Lets the evaluations count: every run's current one, what the rankings count and every standing change in one
   * transaction, so that nobody ever sees a mixture. Runs that were evaluated meanwhile under what counted until now are
   * evaluated first.
   */
  async switch(row: ReevaluationRow): Promise<void> {
    const done = await this.happenings.transaction((tx) => this.switchIn(tx, row), { timeout: LONGEST_MS });
    if (!done) await this.repository.transaction((tx) => this.repository.addRuns(tx, row.id));
  }

  private async switchIn(tx: Transaction, row: ReevaluationRow): Promise<boolean> {
    const { id, protocolKey: key, protocolVersion: version, computationVersion } = row;
    // Everyone takes runs before what counts: the other way round two could wait for each other.
    await this.repository.takeRuns(tx, id);
    if (!(await this.repository.take(tx, id))) return true;
    // Whoever stores an evaluation holds what counts: once it is taken, none is stored unseen.
    const counted = await this.counting.take(tx, key);
    if ((await this.repository.lacking(tx, id)) > 0) return false;
    await this.counting.set(tx, { key, version, computationVersion });
    const outcomes = await this.repository.outcomes(id, tx);
    const staying = outcomes.filter((outcome) => !lapses(outcome));
    await this.repository.makeCurrent(
      tx,
      id,
      staying.map(({ runId }) => runId),
    );
    for (const { runId, evaluationId, failedRules, to } of outcomes.filter(lapses)) {
      const what = to === null ? "could not be evaluated" : "does not conform";
      const reason = `It ${what} under version ${version} of the protocol and ${computationVersion} of the computation.`;
      await this.decisions.lapse(tx, runId, evaluationId, { reason, rules: [...failedRules] });
    }
    const before = await this.standings.all(tx, key);
    const protocol = await this.counting.hold(tx, key);
    const after = await this.standings.computeAll(tx, protocol);
    await this.standings.replaceAll(tx, key, after);
    await this.repository.end(tx, id, effectsOf(outcomes, before, after));
    this.happenings.tell(tx, {
      actorId: row.requestedById,
      event: "count",
      subject: { kind: "protocol", id: key },
      from: `${counted.version}/${counted.computationVersion}`,
      to: `${version}/${computationVersion}`,
    });
    return true;
  }
}
