import { predictUse } from "../../../src/core/use/predict.js";
import type { Use, UseStep } from "../../../src/core/use/use.js";
import { goalsOf } from "../../predictions/goals.js";
import { judgePack } from "../../predictions/judge-pack.js";
import { THREE_TESTERS } from "../../predictions/pooled-pack.js";
import { knownModel } from "../../support/known-pack-model.js";
import type { OutsideCheck } from "./check.js";

/** A cell whose source falls evenly with the charge drawn, behind one resistance; four of them in series. */
const CELLS = 4;
const FULL_V = 4.2;
const CUTOFF_V = 3;
const FALL_V = 1;
const CHARGE_AS = 5 * 3600;
const OHM = 0.004;
const FALL_PER_AS = FALL_V / CHARGE_AS;
const model = knownModel({ source: (share) => FULL_V - FALL_V * share, seriesOhm: OHM });

const AMPERES = 50;
const LOAD_OHM = 0.08;
const WATTS = 180;
/** The middle of a stretch of the prediction, s. */
const AT_S = 201;

function predicted(step: Omit<UseStep, "seconds">) {
  const use: Use = {
    steps: [{ seconds: 400, ...step }],
    repeats: 1,
    startC: 25,
    ambientC: 25,
    cutoffVoltsPerCell: CUTOFF_V,
    reserve: 0,
    temperatureLimitC: 90,
  };
  const { curve, lasts } = predictUse(model, use, { kind: "mean" });
  const point = curve.find(({ timeS }) => timeS === AT_S);
  return { volts: (point?.voltageV ?? Number.NaN) / CELLS, lastsS: lasts?.value ?? Number.NaN };
}

/** The lower branch of Lambert's W: w e^w = x with w <= -1, for -1/e < x < 0; Halley's iteration (Corless and others, 1996, (5.9)). */
function lambertLower(x: number): number {
  let w = Math.log(-x) - Math.log(-Math.log(-x));
  for (let round = 0; round < 50; round++) {
    const e = Math.exp(w);
    const off = w * e - x;
    w -= off / (e * (w + 1) - ((w + 2) * off) / (2 * w + 2));
  }
  return w;
}

/** Under constant power P = V I and U = V + R P / V: V^2 / 2 - R P ln V falls by k P a second. */
const potential = (volts: number) => volts ** 2 / 2 - OHM * WATTS * Math.log(volts);
const STARTING_V = (FULL_V + Math.sqrt(FULL_V ** 2 - 4 * OHM * WATTS)) / 2;
function voltsUnderPower(seconds: number): number {
  const left = 2 * (potential(STARTING_V) - FALL_PER_AS * WATTS * seconds);
  const heat = OHM * WATTS;
  return Math.sqrt(-heat * lambertLower(-Math.exp(-left / heat) / heat));
}

const RATE = FALL_PER_AS / (LOAD_OHM + OHM);
const OHMS_LAW = "Ohm's law and Kirchhoff's voltage law, integrated by hand";
const LAMBERT =
  "Corless, Gonnet, Hare, Jeffrey and Knuth, On the Lambert W function, Adv. Comput. Math. 5 (1996), W of the lower branch (from memory)";

/** Packs of another form than the model's: none of their equations or numbers are the model's own. */
const JUDGED = [
  ["C", "lipo"],
  ["A", "liion"],
] as const;

export const USE_CHECKS: readonly OutsideCheck[] = [
  {
    what: "use: time to the cutoff under constant current, s",
    source: OHMS_LAW,
    expected: (FULL_V - OHM * AMPERES - CUTOFF_V) / (FALL_PER_AS * AMPERES),
    got: () => predicted({ currentA: AMPERES }).lastsS,
    digits: 6,
  },
  {
    what: "use: voltage after 201 s of a resistance, V",
    source: OHMS_LAW,
    expected: ((FULL_V * LOAD_OHM) / (LOAD_OHM + OHM)) * Math.exp(-RATE * AT_S),
    got: () => predicted({ resistanceOhm: CELLS * LOAD_OHM }).volts,
    digits: 5,
  },
  {
    what: "use: voltage after 201 s of constant power, V",
    source: LAMBERT,
    expected: voltsUnderPower(AT_S),
    got: () => predicted({ powerW: CELLS * WATTS }).volts,
    digits: 5,
  },
  {
    what: "use: time to the cutoff under constant power, s",
    source: "the same equation, solved for the time",
    expected: (potential(STARTING_V) - potential(CUTOFF_V)) / (FALL_PER_AS * WATTS),
    got: () => predicted({ powerW: CELLS * WATTS }).lastsS,
    digits: 5,
  },
  ...JUDGED.map(
    ([population, chemistry]): OutsideCheck => ({
      what: `use: goals of docs/use.md that a ${chemistry} pack of population ${population} misses`,
      source: "second simulator (test/cross-checks/simulator), with other equations than the model's",
      expected: "none",
      got: () => {
        const missed = goalsOf(judgePack(population, chemistry, "p0", THREE_TESTERS)).filter(({ isMet }) => !isMet);
        return missed.map(({ name }) => name).join(", ") || "none";
      },
    }),
  ),
];
