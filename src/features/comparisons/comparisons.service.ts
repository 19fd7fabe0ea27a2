import { Injectable } from "@nestjs/common";
import { FIGURE_KEYS } from "../../core/figures/catalogue.js";
import { LADDER_FIGURE_KEYS } from "../../core/ladder/figures.js";
import { differenceFrom } from "../../core/statistics/difference.js";
import type { Estimate } from "../../core/statistics/estimate.js";
import type { Caller } from "../../platform/auth/account.js";
import { isUuid } from "../../platform/database/uuid.js";
import { invalidInput } from "../../platform/http/input.pipe.js";
import { requireStandardLoad } from "../../platform/http/standard-load.js";
import { requireAll } from "../../platform/problems/problem.js";
import { PacksService } from "../packs/packs.service.js";
import { ActiveVersionService, PROTOCOL_KEYS } from "../protocols/active-version.service.js";
import { StandingsService } from "../rankings/standings.service.js";
import { RunsService } from "../runs/runs.service.js";
import { TracesService } from "../runs/trace/traces.service.js";
import {
  type ComparisonCellView,
  type ComparisonColumnView,
  type ComparisonCurveView,
  type ComparisonOptions,
  type ComparisonRowView,
  type ComparisonView,
  MAX_COLUMNS,
} from "./comparisons.views.js";

const CURVE_POINTS = 240;
/** The figure by which a run is chosen to stand for its pack in a chart. */
const TYPICAL_BY = "power-10s";
/** Under a standard load the voltage at the cutoff is the cutoff, and current and power follow from it. */
const FIXED_BY_DEFINITION: ReadonlySet<string> = new Set(["voltage-cutoff", "current-cutoff", "power-cutoff"]);
const ALL_FIGURE_KEYS = [...FIGURE_KEYS, ...LADDER_FIGURE_KEYS];

interface KnownFigure extends Estimate {
  readonly protocol: string;
  readonly figure: string;
  readonly unit: string;
  readonly basis: "own" | "translated";
  /** The standard load, A; null under the runs' own loads. */
  readonly load: number | null;
  /** Testers behind it; 1 for a single run. */
  readonly testers: number;
}

/** What is compared, and how. */
export interface Compared extends ComparisonOptions {
  readonly packs?: readonly string[] | null;
  readonly runs?: readonly string[] | null;
}

/** One column with what is known of it. */
interface Column {
  readonly view: ComparisonColumnView;
  readonly figures: readonly KnownFigure[];
}

@Injectable()
export class ComparisonsService {
  constructor(
    private readonly packsService: PacksService,
    private readonly runsService: RunsService,
    private readonly standingsService: StandingsService,
    private readonly tracesService: TracesService,
    private readonly activeVersionService: ActiveVersionService,
  ) {}

  /** What changes whenever a comparison does: the runs that it is of, or the rankings that the packs' runs count in. */
  async revision(args: Pick<Compared, "packs" | "runs">, caller: Caller | null): Promise<object> {
    const { kind, ids } = columnsAsked(args);
    return kind === "run" ? this.runsService.refs(ids, caller) : this.activeVersionService.revisions();
  }

  async compare(args: Compared, caller: Caller | null): Promise<ComparisonView> {
    const { kind, ids } = columnsAsked(args);
    const baseline = args.baseline ?? ids[0] ?? "";
    const baselineIndex = ids.indexOf(baseline.toLowerCase());
    if (baselineIndex < 0) throw invalidInput([{ pointer: "/baseline", message: "must be one of what is compared" }]);
    if (args.load != null) requireStandardLoad(args.load);
    const columns = kind === "pack" ? await this.packColumns(ids) : await this.runColumns(ids, caller);
    const load = args.load ?? commonLoad(columns);
    return {
      baseline: ids[baselineIndex] as string,
      load,
      columns: columns.map(({ view }) => view),
      rows: rowsOf(columns, baselineIndex, load),
      curves: await this.curvesOf(columns, load, caller),
    };
  }

  private async packColumns(ids: readonly string[]): Promise<Column[]> {
    const packs = await this.packsService.byIds(ids);
    requireAll("pack", "/packs", ids, (id) => packs.get(id));
    const known = await this.standingsService.figuresOf(ids);
    return ids.flatMap((id) => {
      const pack = packs.get(id);
      const figures = known.filter(({ packId }) => packId === id);
      return pack ? [{ view: { id, kind: "pack" as const, pack, tester: null }, figures }] : [];
    });
  }

  private async runColumns(ids: readonly string[], caller: Caller | null): Promise<Column[]> {
    const runs = await this.runsService.getMany(ids, caller, {
      figures: true,
      findings: false,
      adjustments: false,
      keyFigures: false,
    });
    requireAll("run", "/runs", ids, (id) => runs.some((run) => run.id === id));
    return runs.map(({ id, pack, tester, protocol, figures }) => ({
      view: { id, kind: "run" as const, pack, tester },
      figures: figures
        .filter(({ bound }) => bound === "none")
        .map(({ key, unit, value, uncertainty, basis, load }) => {
          return {
            protocol: protocol.key,
            figure: key,
            unit,
            value,
            uncertainty,
            basis: basis === "translated" ? basis : "own",
            load,
            testers: 1,
          };
        }),
    }));
  }

  /** Curves under the common standard load, of the columns that reach it. */
  private async curvesOf(
    columns: readonly Column[],
    load: number | null,
    caller: Caller | null,
  ): Promise<ComparisonCurveView[]> {
    if (load === null) return [];
    const curves = columns.map(async (column) => {
      const runId = await this.curveRun(column, load);
      if (runId === null) return [];
      const asked = { channels: ["voltage", "current", "power", "charge"], points: CURVE_POINTS, load };
      const trace = await this.tracesService.get(runId, asked, caller);
      const values = (name: string) => trace.channels.find(({ channel }) => channel === name)?.values ?? [];
      return [
        {
          column: column.view.id,
          runId,
          load,
          time: values("time"),
          voltage: values("voltage"),
          current: values("current"),
          power: values("power"),
          charge: values("charge"),
        },
      ];
    });
    return (await Promise.all(curves)).flat();
  }

  /** The run whose curve a column shows at a load: of a pack the one nearest to its consensus; null where none reaches it. */
  private async curveRun({ view, figures }: Column, load: number): Promise<string | null> {
    const typical = figures.find((one) => one.figure === TYPICAL_BY && one.load === load);
    if (!typical) return null;
    if (view.kind === "run") return view.id;
    return this.runsService.typicalRun(view.id, typical.protocol, TYPICAL_BY, { load, value: typical.value });
  }
}

/**
 * The standard load at which a comparison is made by default: under which most columns have figures, then that with most testers behind them, then
 * the lowest, as in a ranking; null where no column has any.
 */
function commonLoad(columns: readonly Column[]): number | null {
  const at = columns.flatMap((column) =>
    column.figures.flatMap((figure) => (figure.load === null ? [] : [{ column, figure, load: figure.load }])),
  );
  const ordered = [...Map.groupBy(at, ({ load }) => load)].map(([load, found]) => ({
    load,
    columns: new Set(found.map(({ column }) => column)).size,
    testers: found.reduce((sum, { figure }) => sum + figure.testers, 0),
    doubt:
      found.reduce((sum, { figure: { value, uncertainty } }) => sum + Math.abs(uncertainty / value), 0) / found.length,
  }));
  ordered.sort((a, b) => b.columns - a.columns || b.testers - a.testers || a.load - b.load);
  return ordered[0]?.load ?? null;
}

function columnsAsked({ packs, runs }: Compared): { kind: "pack" | "run"; ids: string[] } {
  if ((packs == null) === (runs == null)) {
    throw invalidInput([{ pointer: "/packs", message: "must be sent, or runs in its place, and not both" }]);
  }
  const kind = packs == null ? "run" : "pack";
  const ids = [...new Set((packs ?? runs ?? []).map((text) => text.trim().toLowerCase()))];
  requireAll(kind, `/${kind}s`, ids, isUuid);
  if (ids.length < 2 || ids.length > MAX_COLUMNS) {
    throw invalidInput([{ pointer: `/${kind}s`, message: `must name 2 to ${MAX_COLUMNS} different ones` }]);
  }
  return { kind, ids };
}

/**
 * A row for every figure that any column knows, under the common standard load and, beside it, under the runs' own loads; what was found under
 * one protocol is never set against another. By protocol, the standard load first, in the order of the catalogue. What the standard load and the
 * cutoff fix by themselves is not compared.
 */
function rowsOf(columns: readonly Column[], baselineIndex: number, common: number | null): ComparisonRowView[] {
  const sides = PROTOCOL_KEYS.flatMap((protocol) => [
    ...(common === null ? [] : [{ protocol, basis: "translated", load: common } as const]),
    { protocol, basis: "own", load: null } as const,
  ]);
  return sides.flatMap(({ protocol, basis, load }) =>
    ALL_FIGURE_KEYS.flatMap((figure) => {
      if (load !== null && FIXED_BY_DEFINITION.has(figure)) return [];
      const isThis = (one: KnownFigure) => one.figure === figure && one.load === load && one.protocol === protocol;
      const known = columns.map(({ figures }) => figures.find(isThis) ?? null);
      const unit = known.find((one) => one !== null)?.unit;
      if (unit === undefined) return [];
      const baseline = known[baselineIndex] ?? null;
      return [{ figure, unit, protocol, basis, load, cells: known.map((one) => cellOf(one, baseline)) }];
    }),
  );
}

function cellOf(known: KnownFigure | null, baseline: KnownFigure | null): ComparisonCellView {
  const { value = null, uncertainty = null } = known ?? {};
  if (!known || !baseline)
    return { value, uncertainty, difference: null, differencePercent: null, distinguishable: null };
  return { value, uncertainty, ...differenceFrom(baseline, known) };
}
