import type { PackFacts } from "../model.js";
import { square } from "../numerics/square.js";
import type { ProtocolDocument, TranslationReach } from "../protocol/document.js";
import { oneIt } from "../protocol/load.js";
import { openCircuitCurve } from "../translation/open-circuit-curves.js";
import { STANDARD_LOADS_A, standardOhmPerCell } from "../translation/standard-loads.js";
import { checklistOf } from "./checklist.js";
import { demandsOf } from "./demands.js";
import { type ExpectedDischarge, expectedDischarge, type PlannedSource } from "./expected-discharge.js";
import { type LabelCurrents, labelCurrentsOf, mostByLabel, proposedByLabel } from "./label-limit.js";
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
  const label = labelCurrentsOf(pack);
  const mostA = mostByLabel(label);
  const stop = stopOf(protocol, pack);
  const step = protocol.load.kind === "set-current" ? ladderStep(request, label) : null;
  const wanted = wantedLoads(protocol, request, { step, label });
  requireWithinLabel(wanted, label);
  const [first] = wanted;
  const discharge = first ? expectedDischarge(source, { amps: first.amps }, stop.cutoffVolts ?? 0) : null;
  if (discharge?.seconds === 0) throw beyondPack(source, stop);
  const limits = { mostA, cutoffVolts: stop.cutoffVolts };
  const loads = wanted.map(({ amps, seconds }) => settingOf(source, amps, seconds ?? discharge?.seconds ?? 0, limits));
  const isAnyLoad = protocol.load.kind === "full";
  const highestCurrentA = isAnyLoad ? highestOf(source, loads, stop) : Math.max(...wanted.map(({ amps }) => amps));
  const expected = discharge && expectationOf(discharge, pack, wanted, source, highestCurrentA);
  const demands = demandsOf(protocol, pack);
  const standardLoads =
    protocol.load.kind === "full" && discharge
      ? standardChoices(source, discharge, protocol.load.translation, mostA)
      : [];
  const plan = {
    loads,
    standardLoads,
    nextStep: step,
    stop,
    expected,
    demands,
    ...label,
    cautions: protocol.cautions,
  };
  return { ...plan, checklist: checklistOf(plan, protocol) };
}

function ladderStep({ pack, ladder, loadA }: PlanRequest, label: LabelCurrents): NextStep {
  const easyA = Math.min(TYPICAL_CELLS[pack.chemistry].easyIt * oneIt(pack), proposedByLabel(label) / 2);
  const step = nextStep({ ...ladder, mostA: mostByLabel(label), easyA });
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
  { step, label }: { readonly step: NextStep | null; readonly label: LabelCurrents },
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
  const most = Math.min(TYPICAL_CELLS[pack.chemistry].usualIt * it, proposedByLabel(label));
  return [{ amps: loadA ?? standardBelow(most) ?? most, seconds: null }];
}

/** A run to the cutoff is a continuous load, whatever the label says of bursts. */
function requireWithinLabel(wanted: readonly WantedLoad[], label: LabelCurrents): void {
  const mostA = mostByLabel(label);
  if (wanted.every(({ amps }) => amps <= mostA * ROUNDING)) return;
  const which =
    mostA === label.labelContinuousA
      ? "the continuous current on the label"
      : "the burst current on the label, and the continuous one is lower";
  throw new PlanRefused(`must be at most ${Number(mostA.toPrecision(4))} A, ${which}: the maker's limits come first`);
}

/** A rate times a rated capacity is not exact in binary. */
const ROUNDING = 1 + 1e-9;

function beyondPack(source: PlannedSource, { cutoffVolts }: Stop): PlanRefused {
  const most = Number(((fullVoltsOf(source) - (cutoffVolts ?? 0)) / source.ohm).toPrecision(2));
  return new PlanRefused(`is too much: at some ${most} A even a full pack like this one falls to the cutoff at once`);
}

/**
 * Current, resistance and power that agree at 10 s; but a resistance draws most from the full pack and a power at the cutoff, and neither is
 * set to more than the label allows there.
 */
function settingOf(
  source: PlannedSource,
  amps: number,
  seconds: number,
  { mostA, cutoffVolts }: { readonly mostA: number; readonly cutoffVolts: number | null },
): LoadSetting {
  const { volts, watts } = expectedDischarge(source, { amps }, 0).at10s;
  // A pack better than the expected one has next to no resistance of its own.
  const ohm = Math.max(volts / amps, fullVoltsOf(source) / mostA);
  return { currentA: amps, ohm, powerW: Math.min(watts, mostA * (cutoffVolts ?? volts)), seconds };
}

const fullVoltsOf = ({ series, chemistry }: PlannedSource): number => series * openCircuitCurve(chemistry)(1).volts;

/** The most that any of the settings comes to draw, A. */
function highestOf(source: PlannedSource, loads: readonly LoadSetting[], { cutoffVolts }: Stop): number {
  const currents = loads.flatMap(({ currentA, ohm, powerW }) => [
    currentA,
    fullVoltsOf(source) / (ohm + source.ohm),
    ...(cutoffVolts === null ? [] : [powerW / cutoffVolts]),
  ]);
  return Math.max(...currents);
}

function standardChoices(
  source: PlannedSource,
  { at10s }: ExpectedDischarge,
  { lowestRatio, highestRatio }: TranslationReach,
  mostA: number,
): StandardLoadChoice[] {
  return STANDARD_LOADS_A.flatMap((loadA) => {
    const ohm = source.series * standardOhmPerCell(loadA);
    const { onset, at10s: reached } = expectedDischarge(source, { ohm }, 0);
    const ratio = reached.amps / at10s.amps;
    const isWithin = ratio >= lowestRatio && ratio <= highestRatio && onset.amps <= mostA * ROUNDING;
    return isWithin ? [{ loadA, ohm, currentA: reached.amps, ratio }] : [];
  });
}

const JOULES_PER_WATT_HOUR = 3_600;

function expectationOf(
  discharge: ExpectedDischarge,
  pack: PackFacts,
  wanted: readonly WantedLoad[],
  source: PlannedSource,
  highestCurrentA: number,
): Expectation {
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
