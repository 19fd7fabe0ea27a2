import { indexAtOrAfter } from "../../trace/series.js";
import { halfWidth } from "../observe/stated-accuracy.js";
import { type Observation, type Rule, type RunUnderTest, round } from "../rule.js";

export const SENSOR_STUCK: Rule = {
  id: "sensor-stuck",
  observes:
    "Longest time under load in which one of voltage and current stays on the very same number while the other moves so far that it must have followed: the voltage by the run's own fall under load, the current in proportion to the voltage unless the load holds it constant, either by more than twice what its instrument is stated to read within.",
  why: "A sensor that has frozen, or that is at the end of its range, writes numbers that nothing measured.",
  unit: "s",
  limits: {
    maximum: "longest time, s",
    leastPercent: "movement that the stuck sensor would have had to follow, % of its reading",
  },
  assess: (test, limit) => {
    const maximum = limit("maximum");
    const share = limit("leastPercent") / 100;
    const { trace, rest, loadCurrentA, stop } = test.run;
    if (!rest || !(stop.endS > 0)) return null;
    const volts = test.reads.own.get("voltage-10s")?.value;
    if (volts === undefined) return null;
    // The fall of the voltage for each A, as a share of the voltage.
    const perAmpere = Math.max(0, rest.volts - volts) / loadCurrentA / rest.volts;
    const { bench } = test;
    const voltageShare = Math.max(share, (2 * halfWidth(bench.voltage, volts)) / volts);
    const currentShare = Math.max(share, (2 * halfWidth(bench.current, loadCurrentA)) / loadCurrentA);
    const voltage = longestHeld(test, trace.voltage, trace.current, voltageShare / perAmpere);
    const holdsCurrent = bench.load.kind === "constant-current";
    const current = holdsCurrent ? null : longestHeld(test, trace.current, trace.voltage, currentShare * volts);
    const worst = current && current.seconds > voltage.seconds ? current : voltage;
    const { seconds, fromS } = worst;
    const observation: Observation = { observed: seconds, passes: seconds <= maximum, limit: `<= ${round(maximum)}` };
    return seconds > 0 ? { ...observation, span: { fromS, toS: fromS + seconds } } : observation;
  },
  seen: (observed) => `Voltage or current stays on the same number for ${observed} while the other moves`,
  missing: "No rest was logged, or the run ended before 10 s, so how the voltage answers the current is not known.",
  advice: "Check the sensor's range and its wires, and that the logger reads each channel anew for every row.",
};

/** The longest stretch of equal values over which the other channel ranges over at least `leastRange`. */
function longestHeld({ run }: RunUnderTest, held: Float64Array, other: Float64Array, leastRange: number) {
  const { time } = run.trace;
  let longest = { seconds: 0, fromS: 0 };
  let first = indexAtOrAfter(time, 0);
  let [low, high] = [other[first] as number, other[first] as number];
  for (let i = first + 1; i < time.length && (time[i] as number) <= run.stop.endS; i++) {
    const value = other[i] as number;
    if (held[i] !== held[i - 1]) {
      first = i;
      low = value;
      high = value;
      continue;
    }
    if (value < low) low = value;
    else if (value > high) high = value;
    const seconds = (time[i] as number) - (time[first] as number);
    if (high - low >= leastRange && seconds > longest.seconds) longest = { seconds, fromS: time[first] as number };
  }
  return longest;
}
