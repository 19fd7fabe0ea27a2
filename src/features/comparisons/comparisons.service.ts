import { Injectable } from "@nestjs/common";
import { FIGURE_KEYS } from "../../core/figures/catalogue.js";
import { LADDER_FIGURE_KEYS } from "../../core/ladder/figures.js";
import { differenceFrom } from "../../core/statistics/difference.js";
import type { Estimate } from "../../core/statistics/estimate.js";
import type { Caller } from "../../platform/auth/account.js";
import { idOf } from "../../platform/database/uuid.js";
import { invalidInput } from "../../platform/http/input.pipe.js";
import { notFound } from "../../platform/problems/problem.js";
import { PacksService } from "../packs/packs.service.js";
import { PROTOCOL_KEYS } from "../protocols/active-version.service.js";
import { StandingsService } from "../rankings/standings.service.js";
import { RunsService } from "../runs/runs.service.js";
import { TracesService } from "../runs/trace/traces.service.js";
import type {
  ComparisonArgs,
  ComparisonCellView,
  ComparisonColumnView,
  ComparisonCurveView,
  ComparisonRowView,
  ComparisonView,
} from "./comparisons.views.js";

const MAX_COLUMNS = 20;
const CURVE_POINTS = 240;
/** The protocol and the figure by which a run is chosen to stand for its pack in a chart. */
const CURVE_PROTOCOL = "full-load";
const TYPICAL_BY = "power-10s";
const ALL_FIGURE_KEYS = [...FIGURE_KEYS, ...LADDER_FIGURE_KEYS];

interface KnownFigure extends Estimate {
  readonly protocol: string;
  readonly figure: string;
  readonly unit: string;
  readonly basis: "own" | "translated";
}

/** One column with what is known of it. */
interface Column {
  readonly view: ComparisonColumnView;
  readonly figures: readonly KnownFigure[];
  /** The run that its curve shows. */
  readonly curveRunId: string | null;
}

@Injectable()
export class ComparisonsService {
  constructor(
    private readonly packsService: PacksService,
    private readonly runsService: RunsService,
    private readonly standingsService: StandingsService,
    private readonly tracesService: TracesService,
  ) {}

  async compare(args: ComparisonArgs, caller: Caller | null): Promise<ComparisonView> {
    const { kind, ids } = columnsAsked(args);
    const baseline = args.baseline ?? ids[0] ?? "";
    const baselineIndex = ids.indexOf(baseline.toLowerCase());
    if (baselineIndex < 0) throw invalidInput([{ pointer: "/baseline", message: "must be one of what is compared" }]);
    const columns = kind === "pack" ? await this.packColumns(ids) : await this.runColumns(ids, caller);
    return {
      baseline: ids[baselineIndex] as string,
      columns: columns.map(({ view }) => view),
      rows: rowsOf(columns, baselineIndex),
      curves: await this.curvesOf(columns, caller),
    };
  }

  private async packColumns(ids: readonly string[]): Promise<Column[]> {
    const packs = await this.packsService.byIds(ids);
    const known = await this.standingsService.figuresOf(ids);
    return Promise.all(
      ids.map(async (id) => {
        const pack = packs.get(id);
        if (!pack) throw notFound("pack");
        const figures = known.filter(({ packId }) => packId === id);
        const typical = figures.find(
          ({ protocol, figure, basis }) =>
            protocol === CURVE_PROTOCOL && figure === TYPICAL_BY && basis === "translated",
        );
        return {
          view: { id, kind: "pack" as const, pack, tester: null },
          figures,
          curveRunId: typical ? await this.runsService.typicalRun(id, CURVE_PROTOCOL, TYPICAL_BY, typical.value) : null,
        };
      }),
    );
  }

  private runColumns(ids: readonly string[], caller: Caller | null): Promise<Column[]> {
    return Promise.all(
      ids.map(async (id) => {
        const { pack, tester, protocol, figures, state } = await this.runsService.get(id, caller);
        return {
          view: { id, kind: "run" as const, pack, tester },
          figures: figures
            .filter(({ bound }) => bound === "none")
            .map(({ key, unit, value, uncertainty, basis }) => {
              return {
                protocol: protocol.key,
                figure: key,
                unit,
                value,
                uncertainty,
                basis: basis === "translated" ? basis : "own",
              };
            }),
          curveRunId: state === "processed" ? id : null,
        };
      }),
    );
  }

  private async curvesOf(columns: readonly Column[], caller: Caller | null): Promise<ComparisonCurveView[]> {
    const curves = columns.map(async ({ view, curveRunId }) => {
      if (curveRunId === null) return [];
      const trace = await this.tracesService.get(
        curveRunId,
        { channels: "voltage,current,power", points: CURVE_POINTS },
        caller,
      );
      const values = (name: string) => trace.channels.find(({ channel }) => channel === name)?.values ?? [];
      return [
        {
          column: view.id,
          runId: curveRunId,
          time: values("time"),
          voltage: values("voltage"),
          current: values("current"),
          power: values("power"),
        },
      ];
    });
    return (await Promise.all(curves)).flat();
  }
}

function columnsAsked({ packs, runs }: ComparisonArgs): { kind: "pack" | "run"; ids: string[] } {
  if ((packs == null) === (runs == null)) {
    throw invalidInput([{ pointer: "/packs", message: "must be sent, or runs in its place, and not both" }]);
  }
  const kind = packs == null ? "run" : "pack";
  const texts = (packs ?? runs ?? "").split(",").map((text) => text.trim());
  const ids = [...new Set(texts.map((text) => idOf(text, kind)))];
  if (ids.length < 2 || ids.length > MAX_COLUMNS) {
    throw invalidInput([{ pointer: `/${kind}s`, message: `must name 2 to ${MAX_COLUMNS} different ones` }]);
  }
  return { kind, ids };
}

/** A row for every figure that any column knows; what was found under one protocol is never set against another. By protocol, own loads first, in the order of the catalogue. */
function rowsOf(columns: readonly Column[], baselineIndex: number): ComparisonRowView[] {
  const sides = PROTOCOL_KEYS.flatMap((protocol) =>
    (["own", "translated"] as const).map((basis) => ({ protocol, basis })),
  );
  return sides.flatMap(({ protocol, basis }) =>
    ALL_FIGURE_KEYS.flatMap((figure) => {
      const isThis = (one: KnownFigure) => one.figure === figure && one.basis === basis && one.protocol === protocol;
      const known = columns.map(({ figures }) => figures.find(isThis) ?? null);
      const unit = known.find((one) => one !== null)?.unit;
      if (unit === undefined) return [];
      const baseline = known[baselineIndex] ?? null;
      return [{ figure, unit, protocol, basis, cells: known.map((one) => cellOf(one, baseline)) }];
    }),
  );
}

function cellOf(known: KnownFigure | null, baseline: KnownFigure | null): ComparisonCellView {
  const { value = null, uncertainty = null } = known ?? {};
  if (!known || !baseline)
    return { value, uncertainty, difference: null, differencePercent: null, distinguishable: null };
  return { value, uncertainty, ...differenceFrom(baseline, known) };
}
