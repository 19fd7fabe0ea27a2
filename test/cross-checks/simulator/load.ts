import type { LoadKind } from "../../../src/core/model.js";

/** The current that a load draws at a voltage of the pack, and how it changes with that voltage. */
export interface LoadLaw {
  readonly kind: LoadKind;
  amperes(volts: number, seconds: number): number;
  amperesPerVolt(volts: number, seconds: number): number;
}

/** 3.7 V per cell whatever the chemistry, as if each sat in the same model. */
const STANDARD_VOLTS_PER_CELL = 3.7;
/** The series R10 of preferred numbers (ISO 3; from memory). */
const R10 = [1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8] as const;
const DECADES = [0, 1, 2, 3] as const;

export const STANDARD_LOADS_A: readonly number[] = DECADES.flatMap((decade) =>
  R10.map((number) => Number((number * 10 ** decade).toPrecision(3))),
);

/** Resistance of the standard load of `amperes` for a pack of `series` cells, ohm. */
export const standardLoadOhm = (series: number, amperes: number): number =>
  (series * STANDARD_VOLTS_PER_CELL) / amperes;

/** The standard load whose current is nearest in ratio. */
export function nearestStandardLoad(amperes: number): number {
  return STANDARD_LOADS_A.reduce((best, one) =>
    Math.abs(Math.log(one / amperes)) < Math.abs(Math.log(best / amperes)) ? one : best,
  );
}

export const resistance = (ohm: number): LoadLaw => ({
  kind: "constant-resistance",
  amperes: (volts) => volts / ohm,
  amperesPerVolt: () => 1 / ohm,
});

export const constantCurrent = (amperes: number): LoadLaw => ({
  kind: "constant-current",
  amperes: () => amperes,
  amperesPerVolt: () => 0,
});

export const constantPower = (watts: number): LoadLaw => ({
  kind: "constant-power",
  amperes: (volts) => watts / volts,
  amperesPerVolt: (volts) => -watts / volts ** 2,
});

/** What a motor with a propeller draws at full throttle. */
export interface Throttle {
  /** A at `volts`. */
  readonly amperes: number;
  readonly volts: number;
  /** Power of the voltage that the current follows: 1 would be a resistance, 2 a propeller behind nothing. */
  readonly exponent: number;
  /** A slow wander of the current, as a share, and its period. */
  readonly wanderShare: number;
  readonly wanderSeconds: number;
}

export function throttle({ amperes, volts, exponent, wanderShare, wanderSeconds }: Throttle): LoadLaw {
  const wander = (seconds: number) => 1 + wanderShare * Math.sin((2 * Math.PI * seconds) / wanderSeconds);
  return {
    kind: "throttle",
    amperes: (v, seconds) => wander(seconds) * amperes * (v / volts) ** exponent,
    amperesPerVolt: (v, seconds) => (wander(seconds) * amperes * exponent * (v / volts) ** (exponent - 1)) / volts,
  };
}
