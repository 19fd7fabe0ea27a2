import type { Judgement } from "../../../core/use/select.js";
import type { SelectionOrder } from "./selections.views.js";

/** A pack that holds a use. */
export interface Holding {
  readonly packId: string;
  readonly massGrams: number | null;
  readonly judgement: Judgement;
}

/** What differs by less counts as equal. */
const PROBABILITY_STEP = 0.001;
const MARGIN_STEP_V = 0.01;
const MASS_STEP_G = 1;
const ENERGY_STEP_WH = 0.1;
/** Behind every mass that anybody can state. */
const UNKNOWN_MASS_G = 1e9;

export type SelectionKey = readonly [number, number, number, number, string];

/** Where a pack stands among those that hold a use: the smaller its key, the earlier. */
export function selectionKey({ packId, massGrams, judgement }: Holding, order: SelectionOrder): SelectionKey {
  const { probability, marginVoltsPerCell, energyLeftWh } = judgement;
  const probable = -Math.round((probability ?? 0) / PROBABILITY_STEP);
  const margin = -Math.round((marginVoltsPerCell ?? 0) / MARGIN_STEP_V);
  const mass = Math.round((massGrams ?? UNKNOWN_MASS_G) / MASS_STEP_G);
  const energy = -Math.round((energyLeftWh ?? 0) / ENERGY_STEP_WH);
  switch (order) {
    case "probability":
      return [probable, margin, mass, energy, packId];
    case "margin":
      return [margin, probable, mass, energy, packId];
    case "mass":
      return [mass, probable, margin, energy, packId];
    case "energy-left":
      return [energy, probable, margin, mass, packId];
  }
}

export function bySelectionKey(a: SelectionKey, b: SelectionKey): number {
  const at = a.findIndex((one, i) => one !== b[i]);
  return at < 0 ? 0 : (a[at] as number) < (b[at] as number) ? -1 : 1;
}
