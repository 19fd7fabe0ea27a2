import { type Rule, type RunUnderTest, within } from "../rule.js";

const highest = ({ reads }: RunUnderTest): number | null => reads.own.get("highest-temperature")?.value ?? null;

function temperatureRule(id: string, advice: string): Rule {
  return {
    id,
    assess: (test, limit) => {
      const observed = highest(test);
      return observed === null
        ? null
        : within(observed, { maximum: limit("maximum") }, { fromS: 0, toS: test.run.stop.endS });
    },
    seen: (observed) => `Under load the pack reaches ${observed}`,
    missing: ({ run }) =>
      run.trace.temperature
        ? "The run is too short to judge its temperature."
        : "The log has no temperature, or for too long none.",
    advice,
  };
}

/** Highest temperature under load against the level to be wary of, and against the one that no test may pass. */
export const TEMPERATURE_WARNING = temperatureRule(
  "temperature-warning",
  "The pack is at its limit at this load: plan for less current, or stop earlier.",
);
export const TEMPERATURE_LIMIT = temperatureRule(
  "temperature-limit",
  "Stop at once at this temperature, let the pack cool where it can do no harm, and do not test it at this load again.",
);
