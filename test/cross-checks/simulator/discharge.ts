import type { LoadLaw } from "./load.js";
import type { CellModel, SimulatedPack } from "./pack.js";

/** One discharge: rest, load, rest. Time 0 is the instant at which the load is switched on. */
export interface DischargePlan {
  readonly pack: SimulatedPack;
  readonly load: LoadLaw;
  readonly startC: number;
  readonly ambientC: number;
  readonly restSeconds: number;
  /** Time over which the load comes on, a straight ramp of its current; 0: at once. */
  readonly rampSeconds: number;
  /** The load is taken off when the voltage has stood below `volts` for `holdSeconds`, or at `latestSeconds`. */
  readonly stop: { readonly volts: number; readonly holdSeconds: number; readonly latestSeconds: number };
  /** Ends the load at once when it says so; asked at every step with the probe's temperature, degC. */
  readonly endsLoad?: ((seconds: number, probeC: number) => boolean) | undefined;
  readonly afterSeconds: number;
  /** 1 for the usual step; 0.25 takes quarter steps. */
  readonly stepScale?: number;
}

/**
 * The pack's terminals along a discharge, without noise. Instants rise, but for those at which the load is switched: these stand
 * twice, before and after. Between instants everything is linear.
 */
export interface Course {
  readonly time: Float64Array;
  readonly voltage: Float64Array;
  readonly current: Float64Array;
  /** Of the probe, degC. */
  readonly temperature: Float64Array;
  /** When the load was taken off, s. */
  readonly offSeconds: number;
}

const KELVIN = 273.15;
const REFERENCE_K = 298.15;
/** Step near an instant at which the load changes, and later, s. */
const FINE_SECONDS = 0.01;
const COARSE_SECONDS = 0.05;
/** How long the fine step is kept. */
const FINE_FOR_SECONDS = 12;
const NEWTON_ROUNDS = 30;
const CONVERGED_A = 1e-10;
/** A cell below this has collapsed under a load that it cannot carry. */
const MIN_CELL_VOLTS = 0.5;

/**
 * Solves a discharge: relaxations exactly for a current that is linear over the step, the terminal voltage by Newton's method,
 * charge by the trapezoid, and heat, surface charge and what changes with charge and temperature explicitly.
 *
 * @throws RangeError when the pack cannot carry the load
 */
export function simulateDischarge(plan: DischargePlan): Course {
  const run = new Stepper(plan);
  const scale = plan.stepScale ?? 1;
  const step = (since: number, left: number) =>
    Math.min((since < FINE_FOR_SECONDS ? FINE_SECONDS : COARSE_SECONDS) * scale, left);
  run.record();
  while (run.seconds < -1e-9) run.advance(Math.min(COARSE_SECONDS * scale, -run.seconds), 0);

  const { stop, rampSeconds } = plan;
  const share = (seconds: number) => (rampSeconds === 0 ? 1 : Math.min(1, seconds / rampSeconds));
  if (rampSeconds === 0) run.switchTo(1);
  let below: number | null = null;
  while (run.seconds < stop.latestSeconds - 1e-9) {
    const h = step(run.seconds, stop.latestSeconds - run.seconds);
    run.advance(h, share(run.seconds + h));
    if (plan.endsLoad?.(run.seconds, run.probeC)) break;
    if (run.volts > stop.volts) below = null;
    else if (below === null) below = run.seconds;
    if (below !== null && run.seconds - below >= stop.holdSeconds - 1e-9) break;
  }

  const offSeconds = run.seconds;
  run.switchTo(0);
  const end = offSeconds + plan.afterSeconds;
  while (run.seconds < end - 1e-9) run.advance(step(run.seconds - offSeconds, end - run.seconds), 0);
  return { ...run.course(), offSeconds };
}

interface StepFactors {
  readonly h: number;
  readonly kept: Float64Array;
  readonly old: Float64Array;
  readonly fresh: Float64Array;
}

const NO_FACTORS: StepFactors = { h: 0, kept: new Float64Array(), old: new Float64Array(), fresh: new Float64Array() };

/** State of one cell of the pack, and the course so far. */
class Stepper {
  seconds: number;
  volts = 0;
  probeC: number;
  private readonly cell: CellModel;
  private readonly series: number;
  private amperes = 0;
  /** V of the cell without load, as the state now is. */
  private source: number;
  private drawn: number;
  private readonly relaxed: Float64Array;
  private surface: number;
  /** -1 after charging, 1 after discharging. */
  private turned = -1;
  private coreC: number;
  private factors = NO_FACTORS;
  private readonly points: { t: number[]; v: number[]; i: number[]; c: number[] } = { t: [], v: [], i: [], c: [] };

  constructor(private readonly plan: DischargePlan) {
    this.cell = plan.pack.cell;
    this.series = plan.pack.facts.series;
    this.seconds = -plan.restSeconds;
    this.drawn = plan.pack.missingShare;
    this.relaxed = new Float64Array(this.cell.relaxations.length);
    this.surface = this.cell.surfaceCharge.volts;
    this.coreC = plan.startC;
    this.probeC = plan.startC;
    this.source = this.sourceVolts();
    this.volts = this.series * this.source;
  }

  course(): Omit<Course, "offSeconds"> {
    const { t, v, i, c } = this.points;
    return {
      time: Float64Array.from(t),
      voltage: Float64Array.from(v),
      current: Float64Array.from(i),
      temperature: Float64Array.from(c),
    };
  }

  record(): void {
    this.points.t.push(this.seconds);
    this.points.v.push(this.volts);
    this.points.i.push(this.amperes);
    this.points.c.push(this.probeC);
  }

  /** A share of the load comes on, or all of it goes, within no time. */
  switchTo(share: number): void {
    this.solve(share, this.source - sum(this.relaxed), this.resistances().series);
    this.record();
  }

  /** One step of `h` s, at the end of which `share` of the load is on. */
  advance(h: number, share: number): void {
    const { cell, relaxed } = this;
    const before = this.amperes;
    const drawnBefore = this.drawn;
    const overBefore = this.source - this.volts / this.series;
    const { series, relaxation } = this.resistances();
    const { kept, old, fresh } = this.factorsOf(h);
    let [implicitOhm, held] = [series, 0];
    for (let j = 0; j < relaxed.length; j++) {
      held += (kept[j] as number) * (relaxed[j] as number) + relaxation * (old[j] as number) * before;
      implicitOhm += relaxation * (fresh[j] as number);
    }
    // The source at the end of the step, with the charge that the old current would draw.
    this.moveSource(h, before, drawnBefore);
    this.seconds += h;
    this.solve(share, this.sourceVolts() - held, implicitOhm);
    for (let j = 0; j < relaxed.length; j++) {
      relaxed[j] =
        (kept[j] as number) * (relaxed[j] as number) +
        relaxation * ((old[j] as number) * before + (fresh[j] as number) * this.amperes);
    }
    this.drawn = drawnBefore + (h * (before + this.amperes)) / 2 / cell.chargeCoulomb;
    this.source = this.sourceVolts();
    this.warm(h, (before * overBefore + this.amperes * (this.source - this.volts / this.series)) / 2);
    this.record();
  }

  /** What a step of `h` s keeps of each relaxation's voltage, and what the current at its start and at its end add to it, ohm. */
  private factorsOf(h: number): StepFactors {
    if (h !== this.factors.h) {
      const factors = {
        h,
        kept: new Float64Array(this.relaxed.length),
        old: this.relaxed.slice(),
        fresh: this.relaxed.slice(),
      };
      this.cell.relaxations.forEach(({ ohm, seconds }, j) => {
        const x = h / seconds;
        const kept = Math.exp(-x);
        const mean = -Math.expm1(-x) / x;
        factors.kept[j] = kept;
        factors.old[j] = ohm * (mean - kept);
        factors.fresh[j] = ohm * (1 - mean);
      });
      this.factors = factors;
    }
    return this.factors;
  }

  private sourceVolts(): number {
    const { openCircuitVolts, hysteresis } = this.cell;
    return openCircuitVolts(this.drawn) + this.surface - (hysteresis ? hysteresis.volts * this.turned : 0);
  }

  private resistances(): { readonly series: number; readonly relaxation: number } {
    const { seriesOhm, seriesShape, relaxationShape, arrhenius } = this.cell;
    return {
      series: seriesOhm * seriesShape(this.drawn) * arrheniusFactor(arrhenius.ohmic, this.coreC),
      relaxation: relaxationShape(this.drawn) * arrheniusFactor(arrhenius.relaxation, this.coreC),
    };
  }

  private moveSource(h: number, amperes: number, drawnBefore: number): void {
    const { chargeCoulomb, surfaceCharge, hysteresis } = this.cell;
    const drawn = (h * amperes) / chargeCoulomb;
    this.drawn = drawnBefore + drawn;
    this.surface *= Math.exp(-drawn / surfaceCharge.chargeShare - h / surfaceCharge.seconds);
    if (hysteresis) this.turned = 1 - (1 - this.turned) * Math.exp(-drawn / hysteresis.chargeShare);
  }

  /** Current and voltage of the pack from a source of `emf` V per cell behind `ohm` per cell and the charge transfer. */
  private solve(share: number, emf: number, ohm: number): void {
    const { cell, series, plan, seconds } = this;
    const transferVolts = cell.transfer ? (cell.transfer.volts * (this.coreC + KELVIN)) / REFERENCE_K : 0;
    const exchange = cell.transfer
      ? (2 * cell.transfer.amperes) /
        (cell.transferShape(this.drawn) * arrheniusFactor(cell.arrhenius.transfer, this.coreC))
      : 1;
    const cellVolts = (amperes: number) => emf - ohm * amperes - transferVolts * Math.asinh(amperes / exchange);
    let amperes = share === 0 ? 0 : this.amperes;
    for (let round = 0; share > 0; round++) {
      const volts = series * Math.max(cellVolts(amperes), MIN_CELL_VOLTS);
      const slope = -series * (ohm + transferVolts / Math.hypot(amperes, exchange));
      const excess = amperes - share * plan.load.amperes(volts, seconds);
      const change = excess / (1 - share * plan.load.amperesPerVolt(volts, seconds) * slope);
      amperes -= change;
      if (Math.abs(change) < CONVERGED_A) break;
      if (round === NEWTON_ROUNDS) throw new RangeError("the pack cannot carry the load");
    }
    if (cellVolts(amperes) <= MIN_CELL_VOLTS) throw new RangeError("the pack cannot carry the load");
    this.amperes = amperes;
    this.volts = series * cellVolts(amperes);
  }

  private warm(h: number, watts: number): void {
    const { coreJoulePerKelvin, surface, wattPerKelvinToAir } = this.cell.heat;
    if (surface === null) {
      const toAir = wattPerKelvinToAir * (this.coreC - this.plan.ambientC);
      this.coreC += (h * (watts - toAir)) / coreJoulePerKelvin;
      this.probeC = this.coreC;
      return;
    }
    const through = surface.wattPerKelvinFromCore * (this.coreC - this.probeC);
    const toAir = wattPerKelvinToAir * (this.probeC - this.plan.ambientC);
    this.coreC += (h * (watts - through)) / coreJoulePerKelvin;
    this.probeC += (h * (through - toAir)) / surface.joulePerKelvin;
  }
}

const arrheniusFactor = (slopeK: number, celsius: number): number =>
  Math.exp(slopeK * (1 / (celsius + KELVIN) - 1 / REFERENCE_K));

const sum = (values: Float64Array): number => values.reduce((total, value) => total + value, 0);
