import { Injectable } from "@nestjs/common";
import type { Caller } from "../../platform/auth/account.js";
import { isUuid } from "../../platform/database/uuid.js";
import { invalidInput } from "../../platform/http/input.pipe.js";
import { requireStandardLoad } from "../../platform/http/standard-load.js";
import { requireAll } from "../../platform/problems/problem.js";
import { PacksService } from "../packs/packs.service.js";
import { ActiveVersionService } from "../protocols/active-version.service.js";
import { StandingsService } from "../rankings/standings.service.js";
import { ReadingsService } from "../runs/readings/readings.service.js";
import type { ReadingsView } from "../runs/readings/readings.views.js";
import { RunsService } from "../runs/runs.service.js";
import { ComparisonCurves, USUAL_POINTS } from "./comparison-curves.js";
import { readRows } from "./comparison-readings.js";
import { type Column, rowsOf } from "./comparison-rows.js";
import { type ComparisonOptions, MAX_COLUMNS } from "./comparisons.args.js";
import { type ComparisonTable, type ComparisonView } from "./comparisons.views.js";

/** What is compared, and how. */
export interface Compared extends ComparisonOptions {
  readonly packs?: readonly string[] | null;
  readonly runs?: readonly string[] | null;
}

@Injectable()
export class ComparisonsService {
  constructor(
    private readonly packsService: PacksService,
    private readonly runsService: RunsService,
    private readonly standingsService: StandingsService,
    private readonly comparisonCurves: ComparisonCurves,
    private readonly readingsService: ReadingsService,
    private readonly activeVersionService: ActiveVersionService,
  ) {}

  /** What changes whenever a comparison does: the runs that it is of, or the rankings that the packs' runs count in. */
  async revision(args: Pick<Compared, "packs" | "runs">, caller: Caller | null): Promise<object> {
    const { kind, ids } = columnsAsked(args);
    if (kind === "run") return this.runsService.refs(ids, caller);
    return { rankings: await this.activeVersionService.revisions(), packs: await this.packsService.revision() };
  }

  /** @param usualPoints most points of a curve when nobody says */
  async compare(args: Compared, caller: Caller | null, usualPoints = USUAL_POINTS): Promise<ComparisonView> {
    const { columns, ...table } = await this.gather(args, caller);
    const curves = await this.comparisonCurves.of(columns, table.load, args.points ?? usualPoints, caller);
    return { ...table, columns: columns.map(({ view }) => view), curves };
  }

  /** A comparison without its curves: these are read off traces, two for each column. */
  async table(args: Compared, caller: Caller | null): Promise<ComparisonTable> {
    const { columns, ...table } = await this.gather(args, caller);
    return { ...table, columns: columns.map(({ view }) => view) };
  }

  private async gather(args: Compared, caller: Caller | null) {
    const { kind, ids: asked } = columnsAsked(args);
    const current = kind === "pack" ? await this.currentPacks(asked) : asked;
    const ids = [...new Set(current)];
    if (ids.length < 2)
      throw invalidInput([{ pointer: "/packs", message: `all are ${ids[0]}, which they were merged into` }]);
    const baseline = args.baseline ?? asked[0] ?? "";
    const baselineIndex = ids.indexOf(current[asked.indexOf(baseline.toLowerCase())] ?? baseline.toLowerCase());
    if (baselineIndex < 0) throw invalidInput([{ pointer: "/baseline", message: "must be one of what is compared" }]);
    if (args.load != null) requireStandardLoad(args.load);
    const columns = kind === "pack" ? await this.packColumns(ids) : await this.runColumns(ids, caller);
    const load = args.load ?? commonLoad(columns);
    const readings = await this.readingsOf(kind, ids, args, load, caller);
    return {
      baseline: ids[baselineIndex] as string,
      load,
      link: linkTo(kind, ids, { ...args, load, baseline: ids[baselineIndex] as string }),
      columns,
      rows: rowsOf(columns, baselineIndex, load),
      readings: readRows(readings, baselineIndex),
    };
  }

  /** What is read of each run at the marks and spans and to the cutoff of the reader's choice, under the common standard load; nothing where none was chosen. */
  private async readingsOf(
    kind: "pack" | "run",
    ids: readonly string[],
    { at, span, cutoff }: Compared,
    load: number | null,
    caller: Caller | null,
  ): Promise<ReadingsView[]> {
    if (at == null && span == null && cutoff == null) return [];
    if (kind === "pack") {
      const pointer = `/${at != null ? "at" : span != null ? "span" : "cutoff"}`;
      throw invalidInput([{ pointer, message: "reads single runs: send runs in place of packs" }]);
    }
    const written = {
      at: at?.split(",") ?? [],
      span: span?.split(",") ?? [],
      cutoff: cutoff ?? null,
      load: load === null ? null : String(load),
    };
    return Promise.all(ids.map((id) => this.readingsService.read(id, written, caller)));
  }

  /** A pack that was merged stands as the one that it leads to. */
  private async currentPacks(ids: readonly string[]): Promise<string[]> {
    const current = await this.packsService.current(ids);
    requireAll("pack", "/packs", ids, (id) => current.get(id));
    return ids.map((id) => current.get(id) ?? id);
  }

  private async packColumns(ids: readonly string[]): Promise<Column[]> {
    const packs = await this.packsService.byIds(ids);
    const known = await this.standingsService.figuresOf(ids);
    return ids.flatMap((id) => {
      const pack = packs.get(id);
      const figures = known.filter(({ packId }) => packId === id).map((one) => ({ ...one, bound: "none" as const }));
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

/** The address of a comparison with everything that the service chose written out, so that it stays the same. */
function linkTo(
  kind: "pack" | "run",
  ids: readonly string[],
  { baseline, load, at, span, cutoff, points }: ComparisonOptions,
): string {
  const chosen = Object.entries({ baseline, load, at, span, cutoff, points }).filter(([, value]) => value != null);
  const query = chosen.map(([name, value]) => `&${name}=${encodeURIComponent(String(value)).replaceAll("%2C", ",")}`);
  return `/v1/comparisons?${kind}s=${ids.join(",")}${query.join("")}`;
}
