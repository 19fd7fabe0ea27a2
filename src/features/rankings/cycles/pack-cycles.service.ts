import { Injectable } from "@nestjs/common";
import { idOf } from "../../../platform/database/rows/uuid.js";
import { notFound } from "../../../platform/problems/problem.js";
import type { StandingArgs } from "../rankings.args.js";
import { RankingsService } from "../rankings.service.js";
import { wasAccepted } from "../results/tester-results.js";
import { PackCyclesRepository } from "./pack-cycles.repository.js";
import type { AgedResultView, PackCyclesView } from "./pack-cycles.views.js";

/** How a pack's figures change as its specimens are cycled. */
@Injectable()
export class PackCyclesService {
  constructor(
    private readonly rankingsService: RankingsService,
    private readonly packCyclesRepository: PackCyclesRepository,
  ) {}

  /** What changes whenever the answer does. */
  async revision(packId: string, args: StandingArgs): Promise<object> {
    const id = idOf(packId, "pack");
    return [await this.rankingsService.standingRevision(id, args), await this.packCyclesRepository.revision(id)];
  }

  /**
   * A figure of the runs of a pack with the age of their specimens, under one load: of those that are accepted, and of those that were when they were
   * withdrawn and that count, so that nobody makes a pack age better by taking runs away. What no moderator ever let count is no evidence of age.
   */
  async get(figure: string, packId: string, args: StandingArgs): Promise<PackCyclesView> {
    const { pack, basis, load, rows: counted } = await this.rankingsService.resultsOf(figure, packId, args);
    const rows = counted.filter(wasAccepted);
    const [first] = rows;
    if (!first) throw notFound("result");
    const ages = await this.packCyclesRepository.agesOf(rows.map(({ runId }) => runId));
    const ageOf = new Map(ages.map((age) => [age.runId, age]));
    const results = rows.flatMap(
      ({ runId, testerId, testerHandle, value, uncertainty, withdrawnFrom }): AgedResultView[] => {
        const age = ageOf.get(runId);
        const result = { value, uncertainty, withdrawn: withdrawnFrom !== null };
        return age ? [{ ...age, tester: { id: testerId, handle: testerHandle }, ...result }] : [];
      },
    );
    return { figure, pack, unit: first.unit, basis, load, results: bySpecimen(results) };
  }
}

function bySpecimen(results: readonly AgedResultView[]): AgedResultView[] {
  const groups = [...Map.groupBy(results, ({ specimenId }) => specimenId).values()];
  const nameOf = ([one]: AgedResultView[]) => `${one?.tester.handle} ${one?.specimenLabel} ${one?.specimenId}`;
  groups.sort((some, others) => others.length - some.length || (nameOf(some) < nameOf(others) ? -1 : 1));
  return groups.flatMap((group) => group.sort((a, b) => a.cycles - b.cycles || (a.runId < b.runId ? -1 : 1)));
}
