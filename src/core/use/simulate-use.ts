import { exp } from "../numerics/library.js";
import { square } from "../numerics/square.js";
import { DEMAND_CURRENT, DEMAND_RESISTANCE, type Demand } from "./demand.js";
import type { Cell } from "./model/cell.js";
import { TABLE_INTERVALS } from "./model/pack-model.js";
import { KELVIN, REFERENCE_K } from "./model/unknowns.js";

/** Limits of one pass. */
export interface PassLimits {
  readonly startC: number;
  readonly ambientC: number;
  /** V of a cell below which following ends. */
  readonly endVolts: number;
  /** Share of the cell's charge past which following ends. */
  readonly endShare: number;
}

export const ENDS = ["demand", "voltage", "power", "charge"] as const;
/** demand: it was followed to its end; power: the cell cannot give what is asked. */
export type PassEnd = (typeof ENDS)[number];

/** A cell along a demand, at the middle of each stretch, as far as it was followed. */
export interface Pass {
  readonly cell: Cell;
  readonly size: number;
  readonly voltage: Float64Array;
  readonly current: Float64Array;
  /** Of the skin, degC. */
  readonly temperature: Float64Array;
  /** Share of the cell's charge drawn at the end of each stretch. */
  readonly share: Float64Array;
  readonly end: PassEnd;
}

/** Resistances are computed anew when the core has changed by so much, K. */
const SAME_TEMPERATURE_K = 0.03;

/**
 * Follows one cell through a demand: over each stretch the current is constant, the relaxations exact for it, and what depends on voltage
 * (a resistance, a power) is met at its middle. A power P behind a source E and a resistance R takes the smaller of two currents,
 * I = (E - sqrt(E^2 - 4 R P)) / (2 R); there is none where P > E^2 / 4 R, more than the cell can give.
 */
export function simulateUse(cell: Cell, demand: Demand, limits: PassLimits): Pass {
  const { seconds, kind, value, first } = demand;
  const { sourceVolts, factor, relaxationOhm, relaxationSeconds, chargeAs, heat } = cell;
  const size = seconds.length;
  const voltage = new Float64Array(size);
  const current = new Float64Array(size);
  const temperature = new Float64Array(size);
  const share = new Float64Array(size);
  const relaxations = relaxationOhm.length;
  const relaxed = new Float64Array(relaxations);
  const middle = new Float64Array(relaxations);
  const whole = new Float64Array(relaxations);
  const last = TABLE_INTERVALS;
  const endSlope = ((sourceVolts[last] as number) - (sourceVolts[last - 1] as number)) * last;
  let [z, amps, core, skin] = [0, 0, limits.startC, limits.startC];
  let [warmAt, series, relaxation] = [Number.NaN, 0, 0];
  let length = -1;
  let [inward, outward, away] = [0, 0, 0];
  const done = (i: number, end: PassEnd): Pass => ({ cell, size: i, voltage, current, temperature, share, end });
  for (let i = 0; i < size; i++) {
    const h = seconds[i] as number;
    if (h !== length) {
      length = h;
      for (let j = 0; j < relaxations; j++) {
        middle[j] = exp(-h / 2 / (relaxationSeconds[j] as number));
        whole[j] = square(middle[j] as number);
      }
      inward = (h * heat.coreToSkinWattPerKelvin) / heat.coreJoulePerKelvin;
      outward = (h * heat.coreToSkinWattPerKelvin) / heat.skinJoulePerKelvin;
      away = (h * heat.skinToAirWattPerKelvin) / heat.skinJoulePerKelvin;
    }
    if (!(Math.abs(core - warmAt) < SAME_TEMPERATURE_K)) {
      warmAt = core;
      const warmth = 1 / (core + KELVIN) - 1 / REFERENCE_K;
      series = cell.seriesOhm * exp(cell.seriesSlopeK * warmth);
      relaxation = exp(cell.relaxationSlopeK * warmth);
    }
    const asked = value[i] as number;
    // What a new load draws is found once more with the charge that it draws itself.
    const rounds = first[i] === 1 && kind[i] !== DEMAND_CURRENT ? 2 : 1;
    let [source, drive, volts] = [0, 0, 0];
    for (let round = 0; round < rounds; round++) {
      const guess = kind[i] === DEMAND_CURRENT ? asked : amps;
      const at = (z + (guess * h) / (2 * chargeAs)) * last;
      let f: number;
      if (at >= last) {
        source = (sourceVolts[last] as number) + endSlope * (at / last - 1);
        f = factor[last] as number;
      } else {
        const k = at | 0;
        const part = at - k;
        source = (sourceVolts[k] as number) * (1 - part) + (sourceVolts[k + 1] as number) * part;
        f = (factor[k] as number) * (1 - part) + (factor[k + 1] as number) * part;
      }
      drive = f * relaxation;
      let ohm = f * series;
      let held = 0;
      for (let j = 0; j < relaxations; j++) {
        held += (relaxed[j] as number) * (middle[j] as number);
        ohm += drive * (relaxationOhm[j] as number) * (1 - (middle[j] as number));
      }
      const behind = source - held;
      if (kind[i] === DEMAND_CURRENT) amps = asked;
      else if (kind[i] === DEMAND_RESISTANCE) amps = behind / (asked + ohm);
      else {
        const root = behind * behind - 4 * ohm * asked;
        if (!(root >= 0 && behind > 0)) return done(i, "power");
        amps = (2 * asked) / (behind + Math.sqrt(root));
      }
      volts = behind - ohm * amps;
    }
    for (let j = 0; j < relaxations; j++) {
      const kept = whole[j] as number;
      relaxed[j] = (relaxed[j] as number) * kept + drive * (relaxationOhm[j] as number) * (1 - kept) * amps;
    }
    z += (amps * h) / chargeAs;
    const [before, beforeSkin] = [core, skin];
    const warmed = (before + (h * amps * (source - volts)) / heat.coreJoulePerKelvin) / (1 + inward);
    skin =
      (beforeSkin + outward * warmed + away * limits.ambientC) /
      (1 + outward + away - (outward * inward) / (1 + inward));
    core = warmed + (inward / (1 + inward)) * skin;
    voltage[i] = volts;
    current[i] = amps;
    temperature[i] = (beforeSkin + skin) / 2;
    share[i] = z;
    if (volts < limits.endVolts) return done(i + 1, "voltage");
    if (z > limits.endShare) return done(i + 1, "charge");
  }
  return done(size, "demand");
}
