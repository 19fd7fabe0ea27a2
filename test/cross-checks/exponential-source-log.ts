import type { RunFacts } from "../../src/core/evaluate.js";
import type { PackFacts } from "../../src/core/model.js";
import { courseOf, type ExponentialSource, type SourceLoad, sourceVolts } from "./exponential-source.js";

const RATE_HZ = 20;
const REST_S = 3;
const AFTER_S = 6;
const LATEST_S = 3600;
/** The load comes on, and goes, between two samples this far apart. */
const SWITCH_S = 1e-6;

/**
 * The log of an exponential source under a load, without error: rest, load from t = 0 until the voltage is at `stopVolts`, recovery.
 */
export function exponentialLog(source: ExponentialSource, load: SourceLoad, stopVolts: number, pack: PackFacts) {
  const course = courseOf(source, load);
  let end = 1;
  while (course.volts(end) > stopVolts && end < LATEST_S) end += 1 / RATE_HZ;
  const row = (seconds: number, volts: number, amperes: number) =>
    `${(REST_S + seconds).toFixed(7)},${volts.toFixed(10)},${amperes.toFixed(10)}`;
  const instants = (from: number, to: number) =>
    Array.from({ length: Math.floor((to - from) * RATE_HZ + 1e-6) + 1 }, (_, k) => from + k / RATE_HZ);
  const rest = sourceVolts(source, 0);
  const left = sourceVolts(source, course.charge(end));
  const rows = [
    ...instants(-REST_S, -1 / RATE_HZ).map((t) => row(t, rest, 0)),
    row(-SWITCH_S, rest, 0),
    ...instants(0, end).map((t) => row(t, course.volts(t), course.amperes(t))),
    ...instants(end + SWITCH_S, end + AFTER_S).map((t) => row(t, left, 0)),
  ];
  const facts: RunFacts = {
    pack,
    bench: {
      load: { kind: load.kind },
      voltage: { percent: 0.1, offset: 0.005 },
      current: { percent: 0.3, offset: 0.1 },
      temperature: null,
      sense: { point: "pack" },
    },
    conditions: { ambientC: 20, restMinutes: 30, cycles: 1, setpointA: null },
  };
  return { log: `${["Time [s],Voltage [V],Current [A]", ...rows].join("\n")}\n`, facts };
}
