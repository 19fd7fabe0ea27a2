/** A step is so long at least, and a use at most, s. */
export const MIN_STEP_S = 0.05;
export const MAX_USE_S = 12 * 3600;
/** Share of the charge that is left at the end where nothing is said of it. */
export const USUAL_RESERVE = 0.2;
/** Packs that one prediction is asked of at most. */
export const MAX_PREDICTED_PACKS = 10;
/** Stretches into which the uses of all packs of a prediction, and of a selection, are cut at most: half a second, and some three, of one processor. */
export const MAX_STRETCHES = { prediction: 150_000, selection: 4_000_000 } as const;

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

/** Why a use of so many seconds is too long; null where it is not. */
export const tooLong = (seconds: number): string | null =>
  seconds > MAX_USE_S
    ? `shows loads over ${(seconds / 3600).toFixed(1)} h from the first to the last; a use lasts ${MAX_USE_S / 3600} h at most. Cut the log to what is to be predicted`
    : null;

export const durationOf = ({ steps, repeats }: Pick<Use, "steps" | "repeats">): number =>
  repeats * steps.reduce((sum, { seconds }) => sum + seconds, 0);
