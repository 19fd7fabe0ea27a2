import { indexAtOrAfter } from "../../trace/series.js";
import { halfWidth } from "../observe/stated-accuracy.js";
import { type Observation, type Rule, type RunUnderTest, round } from "../rule.js";

export const SENSOR_STUCK: Rule = {
  id: "sensor-stuck",
  observes:
    "The longest time under load in which voltage or current keeps exactly the same value while the other channel moves so much that it must have followed. The voltage follows the current by the run's own voltage drop. The current follows in proportion to the voltage, unless the load holds it constant. A movement counts only if it is more than twice the stated accuracy of the stuck channel.",
  why: "A sensor that is frozen or at the end of its range writes values that nothing measured.",
  unit: "s",
  limits: {
    maximum: "longest time allowed, s",
    leastPercent: "smallest movement that the stuck sensor must follow, % of its reading",
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
  seen: (observed) => `Voltage or current keeps the same value for ${observed} while the other channel moves`,
  missing:
    "The log has no rest, or the run ended before 10 s, so the response of the voltage to the current is unknown.",
  advice:
    "Check the range and the wires of the sensor. Check that the logger takes a new reading of each channel for every row.",
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
