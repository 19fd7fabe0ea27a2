import type { EstimateWithFreedom } from "../statistics/estimate.js";
import { coverageFactor } from "../uncertainty/coverage-factor.js";

/** The value of a standing when it was first established or a moderator last decided on it, with the least uncertainty since. */
export interface ConfirmedValue extends EstimateWithFreedom {
  /** What the testers' results gave when this was last computed. */
  readonly computedValue: number;
  /** What the results gave when a moderator turned that down in favour of the value; null where none has. */
  readonly keptValue: number | null;
  /** Whether a moderator has confirmed it: then it stands against the reference testers too. */
  readonly byModerator: boolean;
  /** Vouched testers behind it. */
  readonly vouchedTesters: number;
}

/** How far a value may go by itself. */
export interface Braked {
  /** The value that is shown. */
  readonly value: number;
  /** Whether the results lie so far from it that a moderator has to decide; not where one has, and nothing has moved since. */
  readonly disputed: boolean;
}

/** How far a value may be from that of the reference testers alone, and from the confirmed one, in U. */
const FROM_REFERENCES = 0.25;
const FROM_CONFIRMED = 0.25;
/** How far the results may leave the shown value before a moderator has to decide, in U. */
const UNDISPUTED = 0.5;

/** U = k u. */
export const expanded = ({ uncertainty, degreesOfFreedom }: EstimateWithFreedom): number =>
  coverageFactor(degreesOfFreedom) * uncertainty;

/**
 * Stops a value U/4 from the value of the reference testers alone, and U/4 from the confirmed one, however many testers pull: from one of
 * these bounds to the other it moves by U/2. U is the least since the value was confirmed. Where what the results give lies U/2 beyond,
 * a moderator decides: on what the results give, which then holds against the reference testers too, or on the confirmed value.
 *
 * Source: the design of this project, simulated, docs/records.md.
 *
 * @param value of all who count
 * @param ofReferences of the reference testers among them; null where there are none
 * @param confirmed null while nothing was confirmed: the value is held against the reference testers alone
 */
export function brake(
  value: EstimateWithFreedom,
  ofReferences: EstimateWithFreedom | null,
  confirmed: ConfirmedValue | null,
): Braked {
  const limit = confirmed ? Math.min(expanded(confirmed), expanded(value)) : expanded(value);
  const isNear = (other: number) => Math.abs(value.value - other) <= UNDISPUTED * limit;
  const isAccepted = confirmed?.byModerator === true && isNear(confirmed.value);
  let shown = value.value;
  if (ofReferences && !isAccepted) shown = within(shown, ofReferences.value, FROM_REFERENCES * limit);
  if (confirmed) shown = within(shown, confirmed.value, FROM_CONFIRMED * limit);
  const isKept = confirmed?.keptValue != null && isNear(confirmed.keptValue);
  return { value: shown, disputed: !isNear(shown) && !isKept };
}

const within = (value: number, centre: number, reach: number): number =>
  Math.min(Math.max(value, centre - reach), centre + reach);
