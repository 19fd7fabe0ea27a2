/** A step is so long at least, and a use at most, s. */
export const MIN_STEP_S = 0.05;
export const MAX_USE_S = 12 * 3600;

/** One step of a use: a demand that stays for some seconds. Exactly one of the demands is given; a rest is a current of 0. */
export interface UseStep {
  readonly seconds: number;
  readonly powerW?: number | null;
  readonly currentA?: number | null;
  readonly resistanceOhm?: number | null;
  /** A share of a standard load: the resistance that draws `share` of `loadA` at 3.7 V per cell. */
  readonly standardLoad?: { readonly loadA: number; readonly share: number } | null;
}

/** What a model asks of a pack. */
export interface Use {
  readonly steps: readonly UseStep[];
  /** How often the steps follow each other. */
  readonly repeats: number;
  readonly startC: number;
  readonly ambientC: number;
  /** Age of the pack in cycles; that of the tested ones when null or left out. */
  readonly cycles?: number | null;
  readonly cutoffVoltsPerCell: number;
  /** Share of the charge that shall be left at the end. */
  readonly reserve: number;
  /** Of the pack's skin, degC. */
  readonly temperatureLimitC: number;
}

export const durationOf = ({ steps, repeats }: Pick<Use, "steps" | "repeats">): number =>
  repeats * steps.reduce((sum, { seconds }) => sum + seconds, 0);
