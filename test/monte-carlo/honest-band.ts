import type { Coverage } from "./coverage.js";

/** The share of true values within 2 u that an honest U gives. */
const LEAST = 0.93;
const MOST = 0.97;

/**
 * Read at the cutoff, where the voltage is that of the cutoff by definition: hardly anything is left to err, and U is too careful.
 * Under the reference load power and current are so, too (docs/science.md).
 */
const SETTLED_BY_DEFINITION = [
  "voltage-cutoff (own)",
  "power-cutoff (translated)",
  "voltage-cutoff (translated)",
  "current-cutoff (translated)",
];

/** Two standard deviations of a share that so many draws show by chance. */
const scatter = (share: number, draws: number): number => 2 * Math.sqrt((share * (1 - share)) / draws);

/** Few runs reach the limit, and only those on whose bench it is reached too tell it: about 92 % (docs/science.md). */
const RARE = { figure: "time-to-limit (own)", least: 0.9 };

/** The figures whose U claims more than their draws bear out. */
export function tooBold(coverage: readonly Coverage[], least = LEAST): Coverage[] {
  return coverage.filter(({ figure, within2u, draws }) => {
    const limit = figure === RARE.figure ? RARE.least : least;
    return within2u < limit - scatter(limit, draws);
  });
}

/** The figures whose U is larger than their draws ask for. */
export function tooCareful(coverage: readonly Coverage[]): Coverage[] {
  return coverage.filter(
    ({ figure, within2u, draws }) => !SETTLED_BY_DEFINITION.includes(figure) && within2u > MOST + scatter(MOST, draws),
  );
}
