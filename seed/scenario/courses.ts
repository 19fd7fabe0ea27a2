import type { Demand } from "../simulator/demand.js";
import type { DischargePlan } from "../simulator/discharge.js";
import type { ScenarioProtocol } from "./runs.js";

/** How runs under a protocol go, where they differ from each other by nothing else. */
interface Course {
  /** Where the operator ends the run, V per cell; the full-load protocol's cutoff when left out. */
  readonly cutoffVoltsPerCell?: number;
  readonly stop: Pick<DischargePlan["stop"], "latestSeconds" | "celsius"> & { readonly volts?: number };
  /** Later levels of a load that begins at `level`. */
  readonly steps: (level: number) => Pick<Demand, "steps">;
  /** The bench's own rate when left out. */
  readonly rateHz?: number;
  readonly largestZeroA: number;
  readonly restMinutes?: number;
  /** Share of the charge drawn before the run; what the charger left out when left out. */
  readonly missingShare?: number;
  /** What is logged before and after the load lasts so many times longer. */
  readonly timeFactor: number;
  readonly simulation: Pick<DischargePlan, "stepSeconds">;
}

const noSteps = () => ({});

export const COURSES: Readonly<Record<ScenarioProtocol, Course>> = {
  "full-load": {
    stop: { latestSeconds: 3600 },
    steps: noSteps,
    largestZeroA: 0.3,
    timeFactor: 1,
    simulation: {},
  },
  "current-ladder": {
    stop: { latestSeconds: 3600, celsius: 60.3 },
    steps: noSteps,
    rateHz: 2,
    largestZeroA: 0.05,
    restMinutes: 40,
    timeFactor: 1.5,
    simulation: { stepSeconds: 0.02 },
  },
  "two-pulse": {
    stop: { latestSeconds: 11.1, volts: 0 },
    steps: (level) => ({ steps: [{ fromSeconds: 10, level: 5 * level }] }),
    rateHz: 50,
    largestZeroA: 0.005,
    restMinutes: 90,
    missingShare: 0.5,
    timeFactor: 1,
    simulation: {},
  },
  "rated-capacity": {
    cutoffVoltsPerCell: 3,
    stop: { latestSeconds: 36_000 },
    steps: noSteps,
    rateHz: 0.25,
    largestZeroA: 0.002,
    restMinutes: 120,
    timeFactor: 10,
    simulation: { stepSeconds: 0.25 },
  },
};
