import type { PackFacts } from "../model.js";
import { square } from "../numerics/square.js";
import type { ProtocolDocument, TranslationReach } from "../protocol/document.js";
import { oneIt } from "../protocol/load.js";
import { openCircuitCurve } from "../translation/open-circuit-curves.js";
import { STANDARD_LOADS_A, standardOhmPerCell } from "../translation/standard-loads.js";
import { checklistOf } from "./checklist.js";
import { demandsOf } from "./demands.js";
import { type ExpectedDischarge, expectedDischarge, type PlannedSource } from "./expected-discharge.js";
import { type DoneStep, type NextStep, nextStep, standardBelow } from "./next-step.js";
import type { Expectation, LoadSetting, Plan, StandardLoadChoice, Stop } from "./planned-test.js";
import { JOULES_PER_GRAM_KELVIN, TYPICAL_CELLS } from "./typical-cells.js";

/** What is known when a test is planned. */
export interface PlanRequest {
  readonly pack: PackFacts;
  /** Resistance of the whole pack where others have measured it, ohm; a typical one is taken when null. */
  readonly ohm: number | null;
  /** The current that the tester wants to draw, A; null to be proposed one. */
  readonly loadA: number | null;
  /** The specimen's ladder so far; read by ladders alone. */
  readonly ladder: { readonly steps: readonly DoneStep[]; readonly estimateA: number | null };
}

/** A load that nobody should draw from the pack, with what is possible. */
export class PlanRefused extends RangeError {}

/** Plans a test of a pack under a protocol. @throws PlanRefused for a load beyond what the label or the pack allows */
export function planOf(protocol: ProtocolDocument, request: PlanRequest): Plan {
  const { pack } = request;
  const typical = TYPICAL_CELLS[pack.chemistry];
  const source: PlannedSource = {
    chemistry: pack.chemistry,
    series: pack.series,
    capacityAh: oneIt(pack),
    ohm: request.ohm ?? (pack.series * typical.ohmAh) / oneIt(pack),
  };
  const labelContinuousA = currentOf(pack, pack.labelContinuousC);
  const stop = stopOf(protocol, pack);
  const step = protocol.load.kind === "set-current" ? ladderStep(request, labelContinuousA) : null;
  const wanted = wantedLoads(protocol, request, { step, labelContinuousA });
  requireWithinLabel(wanted, labelContinuousA);
  const [first] = wanted;
  const discharge = first ? expectedDischarge(source, { amps: first.amps }, stop.cutoffVolts ?? 0) : null;
  if (discharge?.seconds === 0) throw beyondPack(source, stop);
  const loads = wanted.map(({ amps, seconds }) => settingOf(source, amps, seconds ?? discharge?.seconds ?? 0));
  const expected = discharge && expectationOf(discharge, pack, wanted, source);
  const demands = demandsOf(protocol, pack);
  const standardLoads =
    protocol.load.kind === "full" && discharge ? standardChoices(source, discharge, protocol.load.translation) : [];
  const plan = {
    loads,
    standardLoads,
    nextStep: step,
    stop,
    expected,
    demands,
    labelContinuousA,
    labelBurstA: currentOf(pack, pack.labelBurstC),
    cautions: protocol.cautions,
  };
  return { ...plan, checklist: checklistOf(plan, protocol) };
}

const currentOf = (pack: PackFacts, rateC: number | null): number | null =>
  rateC === null ? null : rateC * oneIt(pack);

function ladderStep({ pack, ladder, loadA }: PlanRequest, labelA: number | null): NextStep {
  const easyA = Math.min(TYPICAL_CELLS[pack.chemistry].easyIt * oneIt(pack), (labelA ?? Number.POSITIVE_INFINITY) / 2);
  const step = nextStep({ ...ladder, labelA, easyA });
  return loadA === null ? step : { ...step, currentA: loadA };
}

interface WantedLoad {
  readonly amps: number;
  /** null: to the cutoff. */
  readonly seconds: number | null;
}

function wantedLoads(
  { load }: ProtocolDocument,
  { pack, loadA }: PlanRequest,
  { step, labelContinuousA }: { readonly step: NextStep | null; readonly labelContinuousA: number | null },
): WantedLoad[] {
  const it = oneIt(pack);
  if (loadA !== null && (load.kind === "rate" || load.kind === "two-pulse")) {
    throw new PlanRefused("must be left out: this protocol sets the load by the rated capacity");
  }
  if (load.kind === "rate") return [{ amps: load.rateIt * it, seconds: null }];
  if (load.kind === "two-pulse") {
    return [load.first, load.second].map(({ rateIt, seconds }) => ({ amps: rateIt * it, seconds }));
  }
  if (load.kind === "set-current") return step?.currentA == null ? [] : [{ amps: step.currentA, seconds: null }];
  const most = Math.min(TYPICAL_CELLS[pack.chemistry].usualIt * it, labelContinuousA ?? Number.POSITIVE_INFINITY);
  return [{ amps: loadA ?? standardBelow(most) ?? most, seconds: null }];
}

/** A run to the cutoff is a continuous load, whatever the label says of bursts. */
function requireWithinLabel(wanted: readonly WantedLoad[], labelContinuousA: number | null): void {
  if (labelContinuousA === null || wanted.every(({ amps }) => amps <= labelContinuousA * ROUNDING)) return;
  const most = Number(labelContinuousA.toPrecision(4));
  throw new PlanRefused(
    `must be at most ${most} A, the continuous current on the label: the maker's limits come first`,
  );
}

/** A rate times a rated capacity is not exact in binary. */
const ROUNDING = 1 + 1e-9;

function beyondPack({ series, ohm, chemistry }: PlannedSource, { cutoffVolts }: Stop): PlanRefused {
  const fullVolts = series * openCircuitCurve(chemistry)(1).volts;
  const most = Number(((fullVolts - (cutoffVolts ?? 0)) / ohm).toPrecision(2));
  return new PlanRefused(`is too much: at some ${most} A even a full pack like this one falls to the cutoff at once`);
}

function settingOf(source: PlannedSource, amps: number, seconds: number): LoadSetting {
  const { volts, watts } = expectedDischarge(source, { amps }, 0).at10s;
  return { currentA: amps, ohm: volts / amps, powerW: watts, seconds };
}

function standardChoices(
  source: PlannedSource,
  { at10s }: ExpectedDischarge,
  { lowestRatio, highestRatio }: TranslationReach,
): StandardLoadChoice[] {
  return STANDARD_LOADS_A.flatMap((loadA) => {
    const ohm = source.series * standardOhmPerCell(loadA);
    const currentA = expectedDischarge(source, { ohm }, 0).at10s.amps;
    const ratio = currentA / at10s.amps;
    return ratio >= lowestRatio && ratio <= highestRatio ? [{ loadA, ohm, currentA, ratio }] : [];
  });
}

const JOULES_PER_WATT_HOUR = 3_600;

function expectationOf(
  discharge: ExpectedDischarge,
  pack: PackFacts,
  wanted: readonly WantedLoad[],
  source: PlannedSource,
): Expectation {
  const highestCurrentA = Math.max(...wanted.map(({ amps }) => amps));
  const pulsed = wanted.every(({ seconds }) => seconds !== null);
  const drawn = pulsed ? pulsesOf(source, wanted) : discharge;
  const { wattHoursPerKg } = TYPICAL_CELLS[pack.chemistry];
  const grams = pack.massGrams ?? (1000 * pack.series * NOMINAL_CELL_VOLTS * oneIt(pack)) / wattHoursPerKg;
  return {
    seconds: drawn.seconds,
    capacityMah: 1000 * drawn.ampHours,
    highestPowerW: Math.max(...wanted.map(({ amps }) => expectedDischarge(source, { amps }, 0).onset.watts)),
    highestCurrentA,
    loadHeatWh: drawn.loadHeatJoules / JOULES_PER_WATT_HOUR,
    packHeatWh: drawn.packHeatJoules / JOULES_PER_WATT_HOUR,
    temperatureRiseK: drawn.packHeatJoules / (grams * JOULES_PER_GRAM_KELVIN),
    endsAtCutoff: !pulsed,
  };
}

/** Volts of a cell, whatever the chemistry, by which an unknown mass is estimated. */
const NOMINAL_CELL_VOLTS = 3.6;

function pulsesOf(source: PlannedSource, pulses: readonly WantedLoad[]) {
  const total = { seconds: 0, ampHours: 0, loadHeatJoules: 0, packHeatJoules: 0 };
  for (const { amps, seconds } of pulses) {
    const length = seconds ?? 0;
    total.seconds += length;
    total.ampHours += (amps * length) / 3_600;
    total.loadHeatJoules += expectedDischarge(source, { amps }, 0).onset.watts * length;
    total.packHeatJoules += square(amps) * source.ohm * length;
  }
  return total;
}

function stopOf({ cells, rules, temperatureLimitC }: ProtocolDocument, { chemistry, series }: PackFacts): Stop {
  const perCell = cells[chemistry].cutoff;
  return {
    cutoffVolts: perCell === null ? null : series * perCell,
    cutoffVoltsPerCell: perCell,
    temperatureLimitC,
    cutOutC: rules.find(({ rule }) => rule === "temperature-limit")?.limit.maximum ?? temperatureLimitC,
  };
}
