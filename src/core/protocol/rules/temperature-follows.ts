import { expm1 } from "../../numerics/library.js";
import { medianOfThree } from "../../trace/median-of-three.js";
import { indexAtOrAfter, integrate } from "../../trace/series.js";
import { type Rule, type RunUnderTest, within } from "../rule.js";

/** Specific heat of packs, J/(kg K), and energy per mass where the mass is not known, Wh/kg (common practice). */
const HEAT_J_PER_KG_K = 1000;
const USUAL_WH_PER_KG = 150;
/** Packs in still air cool over some twenty minutes; here, over ten, so that the heat left in them is not overrated (common practice), s. */
const COOLING_S = 600;
/** A probe lags behind the cells: its reading is followed for this long after the load, s. */
const LAG_S = 60;

export const TEMPERATURE_FOLLOWS: Rule = {
  id: "temperature-follows",
  observes:
    "Rise of the temperature, from just before the load to its highest within a minute after it, in % of what the run's own heat would give: the integral of the square of the current times the resistance at 10 s, over mass times 1 kJ/(kg K), less what a pack loses with a time constant of ten minutes. A pack of unknown mass is taken for one of 150 Wh/kg. A run whose heat gives less than the least rise is not judged.",
  why: "A pack that takes up kilojoules gets warm. A temperature that does not follow is that of something else, and whether the pack stayed below its limit is then not known.",
  unit: "%",
  limits: {
    minimumPercent: "least rise, % of what the heat would give",
    leastKelvin: "rise that the heat must give for a judgement, K",
  },
  loads: ["full", "set-current", "rate"],
  assess: (test, limit) => {
    const expectedK = expectedRiseK(test);
    const risenK = risenBy(test);
    if (expectedK === null || risenK === null || !(expectedK >= limit("leastKelvin"))) return null;
    const span = { fromS: 0, toS: test.run.stop.loadEndS };
    return within((100 * risenK) / expectedK, { minimum: limit("minimumPercent") }, span);
  },
  seen: (observed) => `The temperature rises by ${observed} of what the run's own heat would give`,
  missing: ({ run }) =>
    run.trace.temperature
      ? "The run's own heat is not known, or too little to tell anything by the temperature."
      : "The log has no temperature, or for too long none.",
  advice:
    "Check that the probe is fixed to the pack and not broken, and that its column was read: a probe in the air, on the load or without contact guards nothing.",
};

/** Rise that the run's heat would give the pack as a whole, K. */
function expectedRiseK({ run, reads, pack, cell }: RunUnderTest): number | null {
  const [volts, amperes] = [reads.own.get("voltage-10s")?.value, reads.own.get("current-10s")?.value];
  if (!run.rest || volts === undefined || amperes === undefined || !(amperes > 0)) return null;
  const ohm = (run.rest.volts - volts) / amperes;
  const { loadEndS } = run.stop;
  const { time, current } = run.trace;
  const squares = current.map((value) => value * value);
  const joules = ohm * integrate(time, squares, 0, loadEndS);
  const wattHours = (pack.series * cell.nominal * pack.ratedCapacityMah) / 1000;
  const kilograms = pack.massGrams ? pack.massGrams / 1000 : wattHours / USUAL_WH_PER_KG;
  const kept = loadEndS > 0 ? (COOLING_S / loadEndS) * -expm1(-loadEndS / COOLING_S) : 1;
  return (kept * joules) / (kilograms * HEAT_J_PER_KG_K);
}

/** Highest temperature up to a minute after the load, single samples aside, above that at onset, K. */
function risenBy({ run }: RunUnderTest): number | null {
  const { time, temperature } = run.trace;
  if (!temperature || run.startTemperatureC === null) return null;
  let highest = Number.NEGATIVE_INFINITY;
  const to = run.stop.loadEndS + LAG_S;
  for (let i = indexAtOrAfter(time, 0); i < time.length && (time[i] as number) <= to; i++)
    highest = Math.max(highest, medianOfThree(temperature, i));
  return Number.isFinite(highest) ? highest - run.startTemperatureC : null;
}
