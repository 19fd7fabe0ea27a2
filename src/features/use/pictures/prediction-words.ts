import { shownValue } from "../../../core/uncertainty/digits.js";
import type { Use, UseStep } from "../../../core/use/use.js";
import type { PredictionView } from "../predictions.views.js";

/** What one pack does under a use, with what people call it and where it is empty. */
export interface NamedPrediction extends PredictionView {
  readonly name: string;
  /** Of the pack, V. */
  readonly cutoffVolts: number;
}

export interface NamedPredictions {
  readonly use: Omit<Use, "cutoffVoltsPerCell">;
  readonly items: readonly NamedPrediction[];
}

export const WHOSE: Readonly<Record<PredictionView["of"], string>> = {
  mean: "The mean of the specimens that were tested",
  "unknown-specimen": "A specimen that nobody has tested",
  specimen: "A specimen with runs of its own",
};

/** Steps that are written out; of more their number is told. */
const WRITTEN_STEPS = 3;

/** The steps of a use in few words, such as "6 times 5 s of 1400 W, 15 s of 450 W". */
export function stepsText({ steps, repeats }: Pick<Use, "steps" | "repeats">): string {
  const times = repeats === 1 ? "" : `${repeats} times `;
  return times + (steps.length > WRITTEN_STEPS ? `${steps.length} steps` : steps.map(stepText).join(", "));
}

function stepText({ seconds, powerW, currentA, resistanceOhm, standardLoad }: UseStep): string {
  const time = `${digits(seconds)} s`;
  if (powerW === 0 || currentA === 0) return `${time} at rest`;
  if (powerW != null) return `${time} of ${digits(powerW)} W`;
  if (currentA != null) return `${time} of ${digits(currentA)} A`;
  if (resistanceOhm != null) return `${time} of ${digits(resistanceOhm)} ohm`;
  return `${time} of ${digits(100 * (standardLoad?.share ?? 0))} % of the load of ${standardLoad?.loadA} A`;
}

export function durationText(seconds: number): string {
  if (seconds < 120) return `${digits(seconds)} s`;
  return seconds < 7200 ? `${digits(seconds / 60)} min` : `${digits(seconds / 3600)} h`;
}

const digits = (value: number): string => String(Number(value.toPrecision(3)));

/** Whether a pack holds its use, with the probability of that, and where it fails. */
export function verdictText({ holds, probability, limit }: PredictionView): string {
  if (holds === null) return "its runs do not tell";
  const sure = probability === null ? "" : ` (${probabilityText(holds ? probability : 1 - probability)})`;
  if (holds) return `holds${sure}`;
  const at = limit && shownValue(limit.at.value, 2 * limit.at.uncertainty);
  return `does not hold${sure}${limit && at ? `, ${limit.reason} at ${at.value} ± ${at.uncertainty} s` : ""}`;
}

/** Certainty is never claimed. */
export function probabilityText(probability: number): string {
  if (probability > 0.999) return "over 99.9 %";
  if (probability < 0.001) return "under 0.1 %";
  return `${(100 * probability).toFixed(1)} %`;
}
