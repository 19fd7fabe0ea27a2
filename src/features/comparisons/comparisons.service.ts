import { Injectable } from "@nestjs/common";
import type { Caller } from "../../platform/auth/account.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { requireStandardLoad } from "../../platform/http/requests/standard-load.js";
import { ReadingsService } from "../runs/readings/readings.service.js";
import type { ReadingsView } from "../runs/readings/readings.views.js";
import { type Compared, columnsAsked, linkTo } from "./compared.js";
import { ComparisonColumns } from "./comparison-columns.js";
import { ComparisonCurves, USUAL_POINTS } from "./comparison-curves.js";
import { readRows } from "./comparison-readings.js";
import { type Column, rowsOf } from "./comparison-rows.js";
import type { ComparedKind, ComparisonTable, ComparisonView } from "./comparisons.views.js";
import { ladderRows } from "./ladder-rows.js";

@Injectable()
export class ComparisonsService {
  constructor(
    private readonly comparisonColumns: ComparisonColumns,
    private readonly comparisonCurves: ComparisonCurves,
    private readonly readingsService: ReadingsService,
  ) {}

  /** What changes whenever a comparison does. */
  async revision(args: Compared, caller: Caller | null): Promise<object> {
    const { kind, ids } = columnsAsked(args);
    return this.comparisonColumns.revision(kind, ids, caller);
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
    const current = await this.comparisonColumns.current(kind, asked);
    const ids = [...new Set(current)];
    if (ids.length < 2)
      throw invalidInput([{ pointer: "/packs", message: `all are ${ids[0]}, which they were merged into` }]);
    const baseline = args.baseline ?? asked[0] ?? "";
    const baselineIndex = ids.indexOf(current[asked.indexOf(baseline.toLowerCase())] ?? baseline.toLowerCase());
    if (baselineIndex < 0) throw invalidInput([{ pointer: "/baseline", message: "must be one of what is compared" }]);
    if (args.load != null) requireStandardLoad(args.load);
    const columns = await this.comparisonColumns.of(kind, ids, caller);
    if (args.load != null) requireWithinReach(args.load, columns);
    const load = args.load ?? commonLoad(columns);
    const readings = await this.readingsOf(kind, ids, args, load, caller);
    return {
      baseline: ids[baselineIndex] as string,
      load,
      link: linkTo(kind, ids, { ...args, load, baseline: ids[baselineIndex] as string }),
      columns,
      rows: rowsOf(columns, baselineIndex, load),
      readings: readRows(readings, baselineIndex),
      steps: kind === "ladder" ? ladderRows(columns.map(({ steps = [] }) => steps)) : [],
    };
  }

  /** What is read of each run at the marks and spans and to the cutoff of the reader's choice, under the common standard load; nothing where none was chosen. */
  private async readingsOf(
    kind: ComparedKind,
    ids: readonly string[],
    { at, span, cutoff }: Compared,
    load: number | null,
    caller: Caller | null,
  ): Promise<ReadingsView[]> {
    if (at == null && span == null && cutoff == null) return [];
    if (kind !== "run") {
      const pointer = `/${at != null ? "at" : span != null ? "span" : "cutoff"}`;
      throw invalidInput([{ pointer, message: `reads single runs: send runs in place of ${kind}s` }]);
    }
    const written = {
      at: at?.split(",") ?? [],
      span: span?.split(",") ?? [],
      cutoff: cutoff ?? null,
      load: load === null ? null : String(load),
    };
    return Promise.all(ids.map((id) => this.readingsService.read(id, written, caller)));
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

/** A load of the reader's own has to be within reach of one column at least. */
function requireWithinReach(load: number, columns: readonly Column[]): void {
  const loads = new Set(columns.flatMap(({ figures }) => figures.flatMap((one) => one.load ?? [])));
  if (loads.has(load)) return;
  const possible = [...loads].sort((a, b) => a - b).join(", ");
  const message =
    possible === ""
      ? "is within reach of none of them: leave it out"
      : `is within reach of none of them; possible are ${possible} A`;
  throw invalidInput([{ pointer: "/load", message }]);
}
