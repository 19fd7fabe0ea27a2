import { Injectable } from "@nestjs/common";
import { valueAt } from "../../core/trace/series.js";
import { COVERAGE_FACTOR } from "../../core/uncertainty/coverage-factor.js";
import type { Caller } from "../../platform/auth/account.js";
import { TracesService } from "../runs/trace/traces.service.js";
import type { TraceView } from "../runs/trace/traces.views.js";
import type { Column, KnownFigure } from "./comparison-rows.js";
import type { ComparisonCurveView } from "./comparisons.views.js";

/** Points of a curve when nobody says: of one to read, and of one that is drawn, whose bends have to be seen. */
export const USUAL_POINTS = 240;
export const DRAWN_POINTS = 480;
/** The figure by which a run is chosen to stand for its pack or specimen in a chart. */
const TYPICAL_BY = "power-10s";

/** Curves of what is compared, under the common standard load. */
@Injectable()
export class ComparisonCurves {
  constructor(private readonly tracesService: TracesService) {}

  /** A curve for each column that reaches the load; of a pack or a specimen, of the run nearest to its value. */
  async of(
    columns: readonly Column[],
    load: number | null,
    points: number,
    caller: Caller | null,
  ): Promise<ComparisonCurveView[]> {
    if (load === null) return [];
    const curves = columns.map(async (column) => {
      const typical = column.figures.find((one) => one.figure === TYPICAL_BY && one.load === load);
      const runId = typical ? await column.runNear(typical) : null;
      return runId === null ? [] : [await this.curve(column, runId, load, points, caller)];
    });
    return (await Promise.all(curves)).flat();
  }

  private async curve(
    { view, figures }: Column,
    runId: string,
    load: number,
    points: number,
    caller: Caller | null,
  ): Promise<ComparisonCurveView> {
    const channels = ["voltage", "current", "power", "charge"];
    const trace = await this.tracesService.get(runId, { channels, points, load }, caller);
    const own = await this.tracesService.get(runId, { channels: ["temperature", "charge"], points }, caller);
    const charge = valuesIn(trace, "charge");
    const drawn = charge.at(-1) ?? 0;
    return {
      column: view.id,
      runId,
      load,
      time: valuesIn(trace, "time"),
      voltage: valuesIn(trace, "voltage"),
      current: valuesIn(trace, "current"),
      power: valuesIn(trace, "power"),
      charge,
      chargeShare: charge.map((one) => (drawn > 0 ? one / drawn : 0)),
      temperature: temperatureAt(own, charge),
      powerBandPercent: bandPercent(figures, "power-10s", load),
      voltageBandPercent: bandPercent(figures, "voltage-10s", load),
    };
  }
}

const valuesIn = ({ channels }: TraceView, name: string): number[] =>
  channels.find(({ channel }) => channel === name)?.values ?? [];

/** Temperature under the run's own load at the charges of another course, degC; empty where none was logged. */
function temperatureAt(own: TraceView, charges: readonly number[]): number[] {
  const [charge, temperature] = [valuesIn(own, "charge"), valuesIn(own, "temperature")];
  const drawing = charge.flatMap((one, i) => (i === 0 || one > (charge[i - 1] as number) ? [i] : []));
  if (temperature.length === 0 || drawing.length < 2) return [];
  const at = Float64Array.from(drawing, (i) => charge[i] as number);
  const values = Float64Array.from(drawing, (i) => temperature[i] as number);
  return charges.map((one) => valueAt(at, values, one));
}

function bandPercent(figures: readonly KnownFigure[], key: string, load: number): number | null {
  const found = figures.find((one) => one.figure === key && one.load === load);
  return found ? (100 * COVERAGE_FACTOR * found.uncertainty) / Math.abs(found.value) : null;
}
