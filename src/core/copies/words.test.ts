import { expect, it } from "@jest/globals";
import { ALTERATIONS } from "../../../test/support/copies/alterations.js";
import { honestTrace } from "../../../test/support/copies/honest-traces.js";
import { instants, traceOf } from "../../../test/support/traces.js";
import type { Trace } from "../model.js";
import { KIND_SHIFT, secondsPerPoint, wordsToKeep, wordsToSeek } from "./words.js";

/** Most kept words of one trace that a search with another one finds at one and the same lag, and that lag, s. */
function sharedWords(kept: Trace, sought: Trace): { words: number; lagS: number } {
  const places = new Map<number, number[]>();
  const keep = wordsToKeep(kept);
  for (const [i, word] of keep.words.entries())
    places.set(word, [...(places.get(word) ?? []), keep.places[i] as number]);
  const seek = wordsToSeek(sought);
  const found = new Map<number, Set<string>>();
  seek.words.forEach((word, i) => {
    for (const place of places.get(word) ?? []) {
      const point = 3 * secondsPerPoint(word >> KIND_SHIFT);
      const lagS =
        Math.round(((place - (seek.places[i] as number)) * secondsPerPoint(word >> KIND_SHIFT)) / point) * point;
      found.set(lagS, (found.get(lagS) ?? new Set()).add(`${word} ${place}`));
    }
  });
  return [...found].reduce((best, [lagS, { size: words }]) => (words > best.words ? { words, lagS } : best), {
    words: 0,
    lagS: 0,
  });
}

const original = honestTrace({ pack: 3, specimen: 2, run: 1 });

it.each(Object.entries(ALTERATIONS))("a copy shares words at one lag with its original: %s", (_, alter) => {
  expect(sharedWords(original, alter(original, 5)).words).toBeGreaterThanOrEqual(3);
});

it("another time origin is the lag that is found", () => {
  const later = { ...original, time: original.time.map((t) => t + 12.5) };
  expect(sharedWords(original, later).lagS).toBeCloseTo(-12.5, 0);
});

it.each([
  ["another run of the same specimen", { pack: 3, specimen: 2, run: 2 }],
  ["a run of another specimen", { pack: 3, specimen: 3, run: 1 }],
  ["a run of another pack", { pack: 4, specimen: 2, run: 1 }],
])("%s shares at most a word or two by chance", (_, run) => {
  expect(sharedWords(original, honestTrace(run)).words).toBeLessThan(3);
});

it("a trace that is too short, or that has no noise, has no words", () => {
  const smooth = traceOf(instants(0, 100, 10), { volts: () => 15, amperes: () => 100 });
  expect(wordsToKeep(smooth).words).toHaveLength(0);
  const isEarly = (_: number, i: number) => (original.time[i] as number) < 6;
  const { time, voltage, current } = original;
  const short = {
    time: time.filter(isEarly),
    voltage: voltage.filter(isEarly),
    current: current.filter(isEarly),
    temperature: null,
  };
  expect(wordsToKeep(short).words).toHaveLength(0);
});
