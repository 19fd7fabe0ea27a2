import { Injectable } from "@nestjs/common";
import { looksMade, type Sign } from "../../../core/plausibility/signs.js";
import { senseResistanceOhm } from "../../../core/trace/sense.js";
import { Threads } from "../../../platform/threads/threads.js";
import type { Effect } from "./evidence.repository.js";
import { PlausibilityRepository } from "./plausibility.repository.js";
import type { PlausibilityView } from "./plausibility.views.js";
import type { StoredRunToJudge } from "./plausibility-thread.js";

/** Says what of a run looks as if it was made up and not measured. */
@Injectable()
export class PlausibilityService {
  constructor(
    private readonly plausibilityRepository: PlausibilityRepository,
    private readonly threads: Threads,
  ) {}

  /** @param effects the run's ranked figures beside the ranking of its class */
  async of(runId: string, effects: readonly Effect[]): Promise<PlausibilityView> {
    const found = await this.plausibilityRepository.find(runId);
    if (!found) return { looksMade: false, signs: [] };
    const { chemistry, heatPercent, packs, sense, encoding, data, ...own } = found;
    const first = effects.filter(({ placeAlone }) => placeAlone === 1).length;
    const others = await this.plausibilityRepository.classOf(runId);
    const leadsOhm = senseResistanceOhm(sense) ?? 0;
    const signs = await this.threads.run<StoredRunToJudge, Sign[]>(
      { module: "src/features/reviews/evidence/plausibility-thread.js", name: "judgeRun" },
      {
        encoding,
        data,
        chemistry,
        leadsOhm,
        heatPercent,
        own,
        others,
        places: { first, figures: effects.length, packs },
      },
    );
    return { looksMade: looksMade(signs), signs };
  }
}
