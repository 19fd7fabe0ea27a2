import { describe, expect, it } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { DISGUISES, trimmed } from "../../../test/support/copies/alterations.js";
import { type MovingLoadName, movingLoadTrace } from "../../../test/support/copies/moving-loads.js";
import { instants, traceOf } from "../../../test/support/traces.js";
import type { Trace } from "../model.js";
import type { Agreement } from "./alignment.js";
import { compareCourses } from "./course-alignment.js";
import { copyEvidence, isSameMeasurement, MIN_COURSE_SCORE, WITHOUT_HINT } from "./evidence.js";
import { hashesToIndex, hashesToQuery } from "./hashes.js";
import { loadCourse } from "./load-course.js";
import { sharedLags } from "./shared-lags.js";

const byHand = movingLoadTrace({ load: "throttle by hand", bench: 0, run: 0 });
const isCopy = (one: Trace, other: Trace) => {
  const agreement = compareCourses(one, other, WITHOUT_HINT);
  return agreement !== null && isSameMeasurement(agreement);
};

describe("a copy whose load moved by itself", () => {
  it.each(Object.entries(DISGUISES).filter(([name]) => !name.startsWith("cut")))("is known: %s", (_, disguise) => {
    expect(isCopy(byHand, disguise(byHand, 3))).toBe(true);
  });

  it.each(Object.entries(DISGUISES).filter(([name]) => /^noise|^3 %|^smoothed/.test(name)))(
    "is found in the index: %s",
    (_, disguise) => {
      const copy = disguise(byHand, 5);
      const lags = sharedLags(hashesToIndex(byHand), hashesToQuery(copy));
      expect(copyEvidence(byHand, copy, lags)).not.toEqual([]);
    },
  );

  it("is known although its beginning was cut off", () => {
    const copy = trimmed(0.2, 1)(byHand, 1);
    const lags = sharedLags(hashesToIndex(byHand), hashesToQuery(copy));
    expect(copyEvidence(byHand, copy, lags)).not.toEqual([]);
  });

  it("agrees the same where only what scores enough is asked for, and what scores less is not told", () => {
    const copy = DISGUISES["1.5 % longer"]?.(byHand, 1) as Trace;
    const agreement = compareCourses(byHand, copy, WITHOUT_HINT);
    const { score } = agreement as Agreement;
    expect(compareCourses(byHand, copy, WITHOUT_HINT, score)).toEqual(agreement);
    expect(compareCourses(byHand, copy, WITHOUT_HINT, score + 1e-9)).toBeNull();
  });

  it("shows by how much its clock was changed", () => {
    const agreement = compareCourses(byHand, DISGUISES["1.5 % longer"]?.(byHand, 1) as Trace, WITHOUT_HINT);
    expect(agreement?.stretch).toBeCloseTo(1.015, 2);
  });
});

describe("honest repeats on one bench with one pack", () => {
  // A normal deviate exceeds 7 with a probability of 1.3e-12 in each of some 200,000 alignments; what is seen here stays well below.
  it.each<MovingLoadName>(["ideal constant current", "ideal resistor", "propeller", "throttle by hand"])(
    "are no copies: %s",
    (load) => {
      const runs = [0, 1, 2].map((run) => movingLoadTrace({ load, bench: 2, run }));
      const scores = runs.flatMap((one, i) =>
        runs.slice(i + 1).map((other) => compareCourses(one, other, WITHOUT_HINT)?.score ?? 0),
      );
      expect(scores).toHaveLength(3);
      expect(Math.max(...scores)).toBeLessThan(MIN_COURSE_SCORE - 1);
    },
  );

  it("whose loads hum alike, or are eased at the same second, are no copies", () => {
    const eased = (seed: number) => {
      const random = createRandom(seed);
      const level = (t: number) => (t > 30 && t < 36 ? 60 : 100) + Math.sin(5 * t);
      return traceOf(instants(0, 100, 10), {
        volts: (t) => 16 - 0.01 * t - 0.01 * level(t) + 0.002 * random.gaussian(),
        amperes: (t) => level(t) + 0.1 * random.gaussian(),
      });
    };
    expect(isCopy(eased(1), eased(2))).toBe(false);
  });
});

it("what a load does by itself is nothing where it keeps to its law", () => {
  for (const exponent of [0, 1, -1, 1.6]) {
    const trace = traceOf(instants(0, 100, 10), {
      volts: (t) => 16 - 0.03 * t,
      amperes: (t) => 80 * ((16 - 0.03 * t) / 16) ** exponent,
    });
    const course = loadCourse(trace).subarray(20, 980);
    expect(Math.max(...course) - Math.min(...course)).toBeLessThan(1e-9);
  }
});
