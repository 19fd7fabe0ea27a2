import type { EstimateWithFreedom } from "../statistics/estimate.js";
import { coverageFactor } from "../uncertainty/coverage-factor.js";

/** The value of a standing when it was first established or a moderator last decided on it. */
export interface ConfirmedValue extends EstimateWithFreedom {
  /** What the testers' results gave when this was last computed. */
  readonly computedValue: number;
  /** What a moderator has turned down in favour of the value; null where nothing was. */
  readonly keptValue: number | null;
  /** Whether a moderator has confirmed it: then it stands against the reference testers too. */
  readonly byModerator: boolean;
  /** Vouched testers behind it. */
  readonly vouchedTesters: number;
}

/** What the brake says: the value is free, or the confirmed one stays. */
export interface Braking {
  readonly braked: boolean;
  /** Whether a moderator has to decide; not where one has, and nothing has moved since. */
  readonly disputed: boolean;
}

/** U = k u. */
export const expanded = ({ uncertainty, degreesOfFreedom }: EstimateWithFreedom): number =>
  coverageFactor(degreesOfFreedom) * uncertainty;

/**
 * Whether a value has left what is confirmed: by more than U/2 from the value of the reference testers alone, or by more than 1 U in sum
 * from the confirmed value; U is that of the confirmed value, or of the value itself where that is less. The confirmed value
 * then stays until a moderator decides. What a moderator has decided on holds while the value stays within U/2 of it.
 *
 * Source: the design of this project, simulated, docs/records.md.
 *
 * @param value of all who count
 * @param ofReferences of the reference testers among them; null where there are none
 * @param confirmed null while nothing was confirmed: the value is held against the reference testers alone, at 1 U
 */
export function brake(
  value: EstimateWithFreedom,
  ofReferences: EstimateWithFreedom | null,
  confirmed: ConfirmedValue | null,
): Braking {
  const leaves = (from: number, limit: number) => Math.abs(value.value - from) > limit;
  if (!confirmed) {
    const braked = ofReferences !== null && leaves(ofReferences.value, expanded(value));
    return { braked, disputed: braked };
  }
  const allowed = expanded(confirmed);
  const half = Math.min(allowed, expanded(value)) / 2;
  if (confirmed.keptValue !== null && !leaves(confirmed.keptValue, half)) return { braked: true, disputed: false };
  if (confirmed.byModerator && !leaves(confirmed.value, half)) return { braked: false, disputed: false };
  const braked = leaves(confirmed.value, allowed) || (ofReferences !== null && leaves(ofReferences.value, half));
  return { braked, disputed: braked };
}
