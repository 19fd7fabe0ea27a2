import { type Observation, type RunUnderTest, within } from "../rule.js";

/** The highest temperature under load, a mean over 1 s, against an upper limit. */
export function highestTemperature({ reads, run }: RunUnderTest, maximum: number): Observation | null {
  const highest = reads.own.get("highest-temperature")?.value;
  return highest === undefined ? null : within(highest, { maximum }, { fromS: 0, toS: run.stop.endS });
}

/** Why it is not known, as a sentence. */
export const noHighestTemperature = ({ run }: RunUnderTest): string =>
  run.trace.temperature
    ? "The run is too short to judge its temperature."
    : "The log has no temperature, or too long a gap in it.";
