import { expect, it } from "@jest/globals";
import {
  differenceCiede2000,
  filterDeficiencyDeuter,
  filterDeficiencyProt,
  filterDeficiencyTrit,
  rgb,
  wcagContrast,
} from "culori";
import { COLOURS, dashOf, mark } from "./style.js";
import { FAINT_INK, INK } from "./text.js";

const [first] = COLOURS;

// WCAG 2.2, 1.4.11 (parts of a picture, 3:1) and 1.4.3 (text, 4.5:1); the contrast by culori.
it("has enough contrast with white", () => {
  for (const colour of COLOURS) expect(wcagContrast(colour, "#ffffff")).toBeGreaterThanOrEqual(3);
  for (const ink of [INK, FAINT_INK]) expect(wcagContrast(ink, "#ffffff")).toBeGreaterThanOrEqual(4.5);
});

// Machado, Oliveira and Fernandes (2009), "A Physiologically-based Model for Simulation of Color Vision Deficiency", and CIEDE2000
// (ISO/CIE 11664-6), both by culori. A difference of 10 is seen at a glance (common practice, no published source).
it("has colours that differ at a glance, as people with and without a deficiency of colour vision see them", () => {
  const difference = differenceCiede2000();
  const visions = [rgb, filterDeficiencyProt(1), filterDeficiencyDeuter(1), filterDeficiencyTrit(1)];
  for (const vision of visions) {
    const seen = COLOURS.map((colour) => vision(rgb(colour)));
    for (const [i, one] of seen.entries())
      for (const other of seen.slice(i + 1)) expect(difference(one, other)).toBeGreaterThan(15);
  }
});

it("tells twenty series apart without colour, by dash and mark", () => {
  const looks = Array.from({ length: 20 }, (_, i) => `${dashOf(i)} ${mark(i, 0, 0).match(/ d="([^"]*)"/)?.[1]}`);
  expect(new Set(looks).size).toBe(20);
  expect(mark(0, 0, 0, true)).not.toContain(`fill="${first}"`);
});
