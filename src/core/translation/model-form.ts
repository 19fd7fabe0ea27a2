import { hypot } from "../numerics/hypot.js";
import { log } from "../numerics/library.js";

/** Standard uncertainty of the charge that a translation was carried on past the end of the log, as a share of it. */
export const EXTENSION_SHARE = 0.4;

/** What the model leaves out, as a share of a figure; found on simulated packs of other forms than the model's own. */
const FORM_SHARE = 0.0003;
const PEAK_FORM_SHARE = 0.0005;
const FALL_FORM_SHARE = 0.001;
/** The hold compares two instants of one run, between which the resistance grows: what that growth is wrong by grows with the distance. */
const HOLD_FORM_GROWTH = 0.009;

/**
 * Standard uncertainty that the form of the model leaves in a figure under a standard load, as a share of it.
 *
 * @param ratio current under the standard load over the run's own
 */
export function formShare(key: string, ratio: number): number {
  if (key === "hold-30s") return hypot(PEAK_FORM_SHARE, HOLD_FORM_GROWTH * log(ratio));
  if (key.endsWith("-peak")) return PEAK_FORM_SHARE;
  return /^(resistance|sag)/.test(key) ? FALL_FORM_SHARE : FORM_SHARE;
}
