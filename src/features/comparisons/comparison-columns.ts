import { Injectable } from "@nestjs/common";
import type { Caller } from "../../platform/auth/account.js";
import { Problem, requireAll } from "../../platform/problems/problem.js";
import { LADDER_PROTOCOL, LaddersService } from "../ladders/ladders.service.js";
import type { LadderView } from "../ladders/ladders.views.js";
import { PacksService, packView } from "../packs/packs.service.js";
import { ActiveVersionService } from "../protocols/active-version.service.js";
import { StandingsService } from "../rankings/standings.service.js";
import { RunsService } from "../runs/runs.service.js";
import { SpecimensService, specimenView } from "../specimens/specimens.service.js";
import type { Column, KnownFigure } from "./comparison-rows.js";
import type { ComparedKind } from "./comparisons.views.js";
import { nearestRun, specimenFigures } from "./specimen-figures.js";
import { SpecimenFiguresRepository } from "./specimen-figures.repository.js";

/** Gathers what is known of each column of a comparison. */
@Injectable()
export class ComparisonColumns {
  constructor(
    private readonly packsService: PacksService,
    private readonly runsService: RunsService,
    private readonly specimensService: SpecimensService,
    private readonly laddersService: LaddersService,
    private readonly standingsService: StandingsService,
    private readonly activeVersionService: ActiveVersionService,
    private readonly specimenFiguresRepository: SpecimenFiguresRepository,
  ) {}

  /** The columns of some ids, in their order. @throws Problem for ids that name nothing that the caller may see */
  of(kind: ComparedKind, ids: readonly string[], caller: Caller | null): Promise<Column[]> {
    if (kind === "pack") return this.packs(ids);
    if (kind === "run") return this.runs(ids, caller);
    return kind === "specimen" ? this.specimens(ids) : this.ladders(ids);
  }

  /** What changes whenever a comparison does: the runs that it is of, or the rankings that packs' and specimens' runs count in. */
  async revision(kind: ComparedKind, ids: readonly string[], caller: Caller | null): Promise<object> {
    if (kind === "run") return this.runsService.refs(ids, caller);
    const rankings = await this.activeVersionService.revisions();
    if (kind === "pack") return { rankings, packs: await this.packsService.revision() };
    return { rankings, specimens: await this.specimenFiguresRepository.revision(ids) };
  }

  /** A pack that was merged stands as the one that it leads to; anything else as itself. */
  async current(kind: ComparedKind, ids: readonly string[]): Promise<string[]> {
    if (kind !== "pack") return [...ids];
    const current = await this.packsService.current(ids);
    requireAll("pack", "/packs", ids, (id) => current.get(id));
    return ids.map((id) => current.get(id) ?? id);
  }

  private async packs(ids: readonly string[]): Promise<Column[]> {
    const packs = await this.packsService.byIds(ids);
    const known = await this.standingsService.figuresOf(ids);
    return ids.flatMap((id) => {
      const pack = packs.get(id);
      const figures = known.filter(({ packId }) => packId === id).map((one) => ({ ...one, bound: "none" as const }));
      const runNear: Column["runNear"] = async ({ protocol, figure, load, value }) =>
        this.runsService.typicalRun(id, protocol, figure, { load: load as number, value });
      const view = { id, kind: "pack" as const, tester: null, specimen: null };
      return pack ? [{ view: { ...view, pack }, figures, runNear }] : [];
    });
  }

  private async runs(ids: readonly string[], caller: Caller | null): Promise<Column[]> {
    const runs = await this.runsService.getMany(ids, caller, {
      figures: true,
      findings: false,
      adjustments: false,
      keyFigures: false,
    });
    requireAll("run", "/runs", ids, (id) => runs.some((run) => run.id === id));
    return runs.map(({ id, pack, specimen, tester, protocol, figures }) => ({
      view: { id, kind: "run" as const, pack, specimen, tester },
      runNear: async () => id,
      figures: figures.map(({ key, unit, value, uncertainty, basis, load, bound }) => ({
        protocol: protocol.key,
        figure: key,
        unit,
        value,
        uncertainty,
        basis: basis === "translated" ? basis : "own",
        load,
        bound,
        testers: 1,
        runs: 1,
      })),
    }));
  }

  /**
   * By their accepted runs, for everyone alike: one without any is unknown. Constant-current runs at several currents have no mean: their ladder
   * stands for them.
   */
  private async specimens(ids: readonly string[]): Promise<Column[]> {
    const rows = Map.groupBy(await this.specimenFiguresRepository.find(ids), ({ specimenId }) => specimenId);
    requireAll("specimen with an accepted run", "/specimens", ids, (id) => rows.has(id));
    const found = await Promise.all(ids.map((id) => this.specimensService.find(id)));
    const ladders = await this.laddersService.ofSpecimens(ids);
    return found.flatMap((specimen) => {
      if (!specimen) return [];
      const { id, pack, owner } = specimen;
      const own = (rows.get(id) ?? []).filter(({ protocol }) => protocol !== LADDER_PROTOCOL);
      const ladder = ladders.get(id);
      return [
        {
          view: { id, kind: "specimen", pack: packView(pack), tester: owner, specimen: specimenView(specimen) },
          figures: [...specimenFigures(own), ...(ladder ? ladderFigures(ladder) : [])],
          runNear: async (figure) => nearestRun(own, figure),
        },
      ];
    });
  }

  private async ladders(ids: readonly string[]): Promise<Column[]> {
    const ladders = await this.laddersService.ofSpecimens(ids);
    const lacking = ids.filter((id) => !ladders.get(id));
    if (lacking.length > 0) throw noLadder(lacking);
    return ids.map((id) => {
      const ladder = ladders.get(id) as LadderView;
      const { pack, tester, specimen, steps } = ladder;
      const view = { id, kind: "ladder" as const, pack, tester, specimen };
      return { view, runNear: async () => null, steps, figures: ladderFigures(ladder) };
    });
  }
}

function ladderFigures({ figures, steps, protocol }: LadderView): KnownFigure[] {
  return figures.map(({ key, value, unit, uncertainty, bound }) => {
    const own = { protocol: protocol.key, figure: key, basis: "own", load: null } as const;
    return { ...own, value, unit, uncertainty, bound, testers: 1, runs: steps.length };
  });
}

function noLadder(ids: readonly string[]): Problem {
  const detail = `No step of these is accepted: ${ids.join(", ")}. /v1/packs/{id}/ladders lists the ladders of a pack, each by its specimen.`;
  const errors = ids.map((id) => ({ pointer: "/ladders", message: `${id} has no accepted step` }));
  return new Problem("no-accepted-step", detail, { errors });
}
