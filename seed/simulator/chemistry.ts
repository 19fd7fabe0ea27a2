import type { Chemistry } from "../../src/core/model.js";

const { exp, max } = Math;

/** Volts of one cell. Common practice, no published source. */
export interface CellVolts {
  readonly nominal: number;
  readonly full: number;
  readonly cutoff: number;
}

export const CELL_VOLTS: Readonly<Record<Chemistry, CellVolts>> = {
  lipo: { nominal: 3.7, full: 4.2, cutoff: 3.3 },
  lihv: { nominal: 3.8, full: 4.35, cutoff: 3.4 },
  liion: { nominal: 3.6, full: 4.2, cutoff: 3.0 },
  lifepo4: { nominal: 3.2, full: 3.65, cutoff: 2.6 },
};

/**
 * Open-circuit voltage of one cell at a state of charge:
 * U(s) = base + slope s + top s^power - knee exp(-s / kneeWidth).
 * Shapes are invented to look like the chemistry, with U(1) at its full voltage.
 */
interface OpenCircuitCurve {
  readonly base: number;
  readonly slope: number;
  readonly top: number;
  readonly power: number;
  readonly knee: number;
  readonly kneeWidth: number;
}

const CURVES: Readonly<Record<Chemistry, OpenCircuitCurve>> = {
  lipo: { base: 3.66, slope: 0.3, top: 0.24, power: 4, knee: 0.66, kneeWidth: 0.03 },
  lihv: { base: 3.68, slope: 0.35, top: 0.32, power: 5, knee: 0.66, kneeWidth: 0.03 },
  liion: { base: 3.35, slope: 0.55, top: 0.3, power: 2, knee: 0.85, kneeWidth: 0.04 },
  lifepo4: { base: 3.22, slope: 0.08, top: 0.35, power: 40, knee: 0.8, kneeWidth: 0.03 },
};

/** V of one resting cell; smooth also below an empty and above a full cell. */
export function openCircuitVolts(chemistry: Chemistry, stateOfCharge: number): number {
  const c = CURVES[chemistry];
  const knee = c.knee * exp(-stateOfCharge / c.kneeWidth);
  return c.base + c.slope * stateOfCharge + c.top * max(stateOfCharge, 0) ** c.power - knee;
}
