import type { Chemistry, Trace } from "../model.js";
import { classLimit, MIN_CLASS_PACKS } from "./beyond-class.js";
import { leadsRaise, leadsWarmedK } from "./leads.js";
import { recoveryShare, type Share, sagShare } from "./relaxation.js";
import { movementRatio } from "./still-load.js";

/** What a run shows beside its trace, and what the accepted runs of other packs of its chemistry show, a value for each pack. */
export interface RunToJudge {
  readonly trace: Trace;
  readonly chemistry: Chemistry;
  readonly own: SizeFree;
  readonly others: readonly SizeFree[];
  /** Resistance by which current times resistance was added to the voltage as sensed, ohm; 0 where nothing was. */
  readonly leadsOhm: number;
  /** Rise of the temperature, % of what the run's own heat would give; null where it is not known. */
  readonly heatPercent: number | null;
  /** Ranked figures of which the run alone would be first in its class, of how many, among how many packs. */
  readonly places: { readonly first: number; readonly figures: number; readonly packs: number };
}

/** Figures that packs of any size have alike; null where a run has none. */
export interface SizeFree {
  /** Resistance of a cell at 10 s times its capacity, mohm Ah. */
  readonly resistanceMilliohmAh: number | null;
  /** Energy over charge, V per cell. */
  readonly meanCellVolts: number | null;
  readonly wattHoursPerKg: number | null;
}

/** A sign that a run was made up and not measured. */
export interface Sign {
  readonly sign: SignName;
  readonly observed: number;
  readonly limit: number;
  readonly unit: string;
  /** Honest runs show it too: it says something only beside another. */
  readonly weak: boolean;
}

/** Least that packs relax, %, when the load ends and when it begins; simulated honest runs have 2.5 % and 3.3 % and more. */
const MIN_RECOVERY_PERCENT = 1;
const MIN_SAG_PERCENT = 1.5;
/** Rise of the temperature that a pack's own heat cannot leave out, or exceed, %. */
const HEAT_PERCENT = [20, 300] as const;
/** Below this no cell is, mohm Ah, and above this no cell delivers on the mean, V (common practice, no published source). */
const MIN_RESISTANCE_MILLIOHM_AH = 2;
const MAX_MEAN_VOLTS: Readonly<Record<Chemistry, number>> = { lipo: 3.95, lihv: 4.1, liion: 3.9, lifepo4: 3.32 };
/** A load that moves slowly by itself has more than so many times the power of its noise there. */
const STILL_RATIO = 2;
const MIN_FIGURES = 3;
/** By what leads a power is raised that are long or thin for the load, %; insulation of silicone is stated to about 200 degC (common practice, no published source). */
const MAX_LEADS_RAISE_PERCENT = 3;
const MAX_LEADS_WARMED_K = 180;

/** Far below zero the load moved within the window, and nothing is told of the pack. */
const relaxes = (share: Share | null, limit: number) =>
  share && Math.abs(share.percent) + 2 * share.uncertainty < limit
    ? { observed: share.percent, limit, unit: "%" }
    : null;

const below = (observed: number | null, limit: number | null, unit: string) =>
  observed !== null && limit !== null && observed < limit ? { observed, limit, unit } : null;

const above = (observed: number | null, limit: number | null, unit: string) =>
  observed !== null && limit !== null && observed > limit ? { observed, limit, unit } : null;

const known = (others: readonly SizeFree[], figure: keyof SizeFree): number[] =>
  others.flatMap((one) => (one[figure] === null ? [] : [one[figure]]));

type Look = (run: RunToJudge) => Omit<Sign, "sign" | "weak"> | null;

/** Each sign with what looks for it; the weak ones last. */
const LOOKS = {
  "no-recovery": ({ trace }) => relaxes(recoveryShare(trace), MIN_RECOVERY_PERCENT),
  "no-sag": ({ trace }) => relaxes(sagShare(trace), MIN_SAG_PERCENT),
  "heat-missing": ({ heatPercent }) => below(heatPercent, HEAT_PERCENT[0], "%"),
  "heat-excessive": ({ heatPercent }) => above(heatPercent, HEAT_PERCENT[1], "%"),
  "resistance-below-class": ({ own, others }) => {
    const limit = classLimit(known(others, "resistanceMilliohmAh"), "lower");
    return below(own.resistanceMilliohmAh, Math.max(limit ?? 0, MIN_RESISTANCE_MILLIOHM_AH), "mohm Ah");
  },
  "voltage-above-chemistry": ({ own, chemistry }) => above(own.meanCellVolts, MAX_MEAN_VOLTS[chemistry], "V"),
  "energy-above-class": ({ own, others }) =>
    above(own.wattHoursPerKg, classLimit(known(others, "wattHoursPerKg"), "higher"), "Wh/kg"),
  "leads-beyond-copper": ({ trace, leadsOhm }) => above(leadsWarmedK(trace, leadsOhm), MAX_LEADS_WARMED_K, "K"),
  "leads-raise-power": ({ trace, leadsOhm }) => above(leadsRaise(trace, leadsOhm), MAX_LEADS_RAISE_PERCENT, "%"),
  "load-still": ({ trace }) => below(movementRatio(trace), STILL_RATIO, "1"),
  "best-in-everything": ({ places: { first, figures, packs } }) =>
    packs >= MIN_CLASS_PACKS && figures >= MIN_FIGURES && first === figures
      ? { observed: first, limit: figures, unit: "1" }
      : null,
} as const satisfies Readonly<Record<string, Look>>;

export type SignName = keyof typeof LOOKS;
export const SIGN_NAMES = Object.keys(LOOKS) as readonly SignName[];
const WEAK: readonly SignName[] = ["leads-raise-power", "load-still", "best-in-everything"];

/**
 * The signs that a run was made up. Evidence for a moderator, never a verdict: a careful simulation shows none of them, and what an honest run
 * may show by itself is marked as weak.
 */
export function signsOf(run: RunToJudge): Sign[] {
  return SIGN_NAMES.flatMap((sign) => {
    const seen = LOOKS[sign](run);
    return seen ? [{ sign, ...seen, weak: WEAK.includes(sign) }] : [];
  });
}

/** Whether they ask for a closer look: a strong one does. */
export const looksMade = (signs: readonly Sign[]): boolean => signs.some(({ weak }) => !weak);
