import { Injectable } from "@nestjs/common";
import { ladderOf } from "../../core/ladder/ladder.js";
import { limitCurrent } from "../../core/ladder/limit-current.js";
import type { ReviewState } from "../../core/lifecycle/run-lifecycle.js";
import type { Finding, StopReason } from "../../core/model.js";
import type { LadderLimits, ProtocolDocument } from "../../core/protocol/document.js";
import { rectangular } from "../../core/uncertainty/noise.js";
import type { Caller } from "../../platform/auth/account.js";
import { idOf } from "../../platform/database/rows/uuid.js";
import { mapPage, type Page, type PageArgs } from "../../platform/paging/page.js";
import { pageOf } from "../../platform/paging/page-of.js";
import { Problem } from "../../platform/problems/problem.js";
import { Threads } from "../../platform/threads/threads.js";
import { PacksService, packView } from "../packs/packs.service.js";
import { ActiveVersionService } from "../protocols/active-version.service.js";
import type { FindingView } from "../runs/evaluation/evaluation.views.js";
import { type SpecimenOfPack, SpecimensService, specimenView } from "../specimens/specimens.service.js";
import type { StepRow } from "./ladder-steps.repository.js";
import { isAccepted, LadderStepsService, ladderStep, publicSteps, stepPasses } from "./ladder-steps.service.js";
import type { LadderArgs, LadderStepView, LadderSummaryView, LadderView, LimitCurrentView } from "./ladders.views.js";
import type { WarmingTask } from "./warming-thread.js";

/** Key of the protocol whose runs are steps of ladders. */
export const LADDER_PROTOCOL = "current-ladder";
/** Half-width of a declared temperature of the surroundings, K (common practice). */
const AMBIENT_HALF_WIDTH_K = 1;

@Injectable()
export class LaddersService {
  constructor(
    private readonly ladderStepsService: LadderStepsService,
    private readonly specimensService: SpecimensService,
    private readonly packsService: PacksService,
    private readonly threads: Threads,
    private readonly activeVersionService: ActiveVersionService,
  ) {}

  /**
   * The ladder of a specimen: its accepted steps for anyone, with withdrawn ones that go on counting; for its owner all conforming ones, unless `all` is false, and for those who
   * review when they ask for them.
   *
   * @throws Problem no-accepted-step when the caller may see no step, whether there is such a specimen or not
   */
  async get(specimenId: string, { all }: LadderArgs, caller: Caller | null): Promise<LadderView> {
    const specimen = await this.specimensService.find(idOf(specimenId, "specimen"));
    const protocol = ladderProtocol((await this.activeVersionService.find(LADDER_PROTOCOL))?.protocol);
    const isOwner = specimen !== null && specimen.ownerId === caller?.id;
    const seesAll = isOwner || (specimen !== null && caller !== null && caller.role !== "tester");
    const rows = specimen ? await this.ladderStepsService.stepsOf(specimen.id, LADDER_PROTOCOL) : [];
    const withAll = seesAll && (all ?? isOwner);
    const shown = withAll ? rows : publicSteps(rows);
    if (!specimen || (shown.length === 0 && !seesAll)) throw noAcceptedStep();
    return this.view(specimen, protocol, shown);
  }

  /** The ladders of some specimens, as anyone is shown them, without the estimate from the heat balance; null where a specimen has none. */
  async ofSpecimens(specimenIds: readonly string[]): Promise<ReadonlyMap<string, LadderView | null>> {
    const protocol = ladderProtocol((await this.activeVersionService.find(LADDER_PROTOCOL))?.protocol);
    const ladders = specimenIds.map(async (id) => {
      const specimen = await this.specimensService.find(id);
      const rows = specimen ? await this.ladderStepsService.stepsOf(id, LADDER_PROTOCOL) : [];
      const shown = publicSteps(rows);
      return [id, specimen && shown.length > 0 ? ladderView(specimen, protocol, shown) : null] as const;
    });
    return new Map(await Promise.all(ladders));
  }

  /** What changes whenever the ladder of a specimen does, as the caller sees it. */
  revision(specimenId: string, caller: Caller | null): Promise<object> {
    return this.ladderStepsService.revisionOf({ specimenId: idOf(specimenId, "specimen") }, LADDER_PROTOCOL, caller);
  }

  /** What changes whenever the ladders of a pack's specimens do. */
  revisionOfPack(packId: string): Promise<object> {
    return this.ladderStepsService.revisionOf(
      { countedOfPacks: [idOf(packId, "pack")], testerId: null },
      LADDER_PROTOCOL,
      null,
    );
  }

  /** The ladders of a pack's specimens, as anyone is shown them. */
  async ofPack(packId: string, args: PageArgs): Promise<Page<LadderSummaryView>> {
    const pack = await this.packsService.get(packId);
    const { load } = ladderProtocol((await this.activeVersionService.find(LADDER_PROTOCOL))?.protocol);
    const rows = await this.ladderStepsService.countedStepsOf(pack.id, LADDER_PROTOCOL);
    const bySpecimen = [...Map.groupBy(rows, ({ specimenId }) => specimenId)]
      .filter(([, steps]) => publicSteps(steps).length > 0)
      .sort(([a], [b]) => (a < b ? -1 : 1));
    const page = await pageOf(args, {
      name: "ladders-of-pack",
      filters: { packId: pack.id },
      keys: ["uuid"],
      items: bySpecimen,
      keyOf: ([id]) => [id],
    });
    return mapPage(page, ([specimenId, steps]) => {
      const [{ testerId, testerHandle }] = steps as [StepRow];
      const { verified, figures } = ladderOf(steps.map(ladderStep), pack, load.ladder);
      const accepted = steps.filter(isAccepted).length;
      const shown = figures.map(({ bracketUncertainty: _, ...figure }) => figure);
      return {
        specimenId,
        tester: { id: testerId, handle: testerHandle },
        steps: accepted,
        withdrawnSteps: steps.length - accepted,
        verified,
        figures: shown,
      };
    });
  }

  private async view(
    specimen: SpecimenOfPack,
    protocol: LadderProtocol,
    rows: readonly StepRow[],
  ): Promise<LadderView> {
    const view = ladderView(specimen, protocol, rows);
    if (view.verified?.bound !== "none") return view;
    return { ...view, estimate: await this.estimate(rows, protocol) };
  }

  private async estimate(
    rows: readonly StepRow[],
    { temperatureLimitC }: LadderProtocol,
  ): Promise<LimitCurrentView | null> {
    const curves = await Promise.all(rows.map((row) => this.warming(row)));
    const warmed = rows.map((row, i) => ({
      ...(curves[i] as Awaited<ReturnType<typeof this.warming>>),
      currentA: row.currentA,
      startC: row.startC,
      ambientC: row.ambientC,
      capacityMah: row.capacityMah,
      passes: stepPasses(row),
    }));
    return limitCurrent(warmed, temperatureLimitC, {
      temperatureK: rectangular(Math.max(...rows.map(({ temperatureOffsetK }) => temperatureOffsetK))),
      ambientK: rectangular(AMBIENT_HALF_WIDTH_K),
      currentShare: rectangular(Math.max(...rows.map(({ currentPercent }) => currentPercent)) / 100),
    });
  }

  private async warming(row: StepRow) {
    const { encoding, data } = await this.ladderStepsService.traceOf(row);
    const task: WarmingTask = { encoding, data, untilS: row.limitReachedS ?? row.runtimeS };
    const { time, temperature } = await this.threads.run<WarmingTask, { time: number[]; temperature: number[] }>(
      { module: "src/features/ladders/warming-thread.js", name: "warmingCurve" },
      task,
    );
    return { time: Float64Array.from(time), temperature: Float64Array.from(temperature) };
  }
}

/** The same for a specimen that does not exist, that nobody may know of, and that has other runs alone. */
function noAcceptedStep(): Problem {
  return new Problem(
    "no-accepted-step",
    `A specimen has a ladder once a conforming run of it under ${LADDER_PROTOCOL} is accepted; there is none of this one.`,
  );
}

interface LadderProtocol extends ProtocolDocument {
  readonly load: { readonly kind: "set-current"; readonly ladder: LadderLimits };
}

function ladderProtocol(protocol: ProtocolDocument | undefined): LadderProtocol {
  if (protocol?.load.kind !== "set-current")
    throw new Error(`there is no protocol ${LADDER_PROTOCOL} of a set current`);
  return { ...protocol, load: protocol.load };
}

/** A ladder as it follows from its steps alone. */
function ladderView(specimen: SpecimenOfPack, protocol: LadderProtocol, rows: readonly StepRow[]): LadderView {
  const pack = packView(specimen.pack);
  const ladder = ladderOf(rows.map(ladderStep), pack, protocol.load.ladder);
  const byId = new Map(rows.map((row) => [row.runId, row]));
  return {
    specimen: specimenView(specimen),
    pack,
    tester: { id: specimen.owner.id, handle: specimen.owner.handle },
    protocol: { key: protocol.key, version: protocol.version },
    temperatureLimitC: protocol.temperatureLimitC,
    steps: ladder.steps.map(({ runId }) => stepView(byId.get(runId) as StepRow)),
    verified: ladder.verified,
    estimate: null,
    figures: ladder.figures.map(({ bracketUncertainty: _, ...figure }) => figure),
    findings: ladder.findings.map(findingView),
    cautions: protocol.cautions,
  };
}

function stepView(row: StepRow): LadderStepView {
  const { runId, setpointA, currentA, currentUncertaintyA, capacityMah, runtimeS, startC, highestC, ambientC } = row;
  return {
    runId,
    review: row.review as ReviewState,
    setpointA,
    currentA,
    currentUncertaintyA,
    capacityMah,
    runtimeS,
    stop: row.stop as StopReason,
    startC,
    highestC,
    ambientC,
    startedAt: row.startedAt?.toISOString() ?? null,
    passes: stepPasses(row),
  };
}

const findingView = ({ span, ...finding }: Finding): FindingView => ({ ...finding, span });
