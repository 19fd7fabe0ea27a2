import { type Chemistry, type Figure, LOAD_KINDS } from "../../src/core/model.js";
import { FULL_LOAD_1 } from "../../src/core/protocol/documents/full-load-1.js";
import { drawExactBench } from "../cross-checks/simulator/noisy-bench.js";
import { drawPack, type Population } from "../cross-checks/simulator/populations.js";
import { type Random, randomOf } from "../cross-checks/simulator/random.js";
import type { SimulatedLog } from "../cross-checks/simulator/simulate-log.js";
import { sizeLoad } from "../cross-checks/simulator/size-load.js";
import { evaluateText } from "../support/evaluated.js";
import { translatingWithin } from "../support/protocols.js";
import { carried } from "./fleet.js";
import { RANKED_TRANSLATED } from "./judged-figure.js";
import { standingOf } from "./standing-of.js";

export const STANDING_SIDES = ["heavier", "lighter", "both"] as const;
export type StandingSide = (typeof STANDING_SIDES)[number];

/** What five testers of one pack together say of a figure under a standard load, beside what is true. */
export interface JudgedStanding {
  readonly key: string;
  readonly chemistry: Chemistry;
  readonly side: StandingSide;
  readonly value: number;
  readonly truth: number;
  readonly U: number;
}

const TESTERS = 5;
/** Own current over that of the standard load. */
const RATIOS: Readonly<Record<StandingSide, readonly [number, number]>> = {
  heavier: [1.03, 1.38],
  lighter: [0.73, 0.97],
  both: [0.73, 1.38],
};
/** Standard uncertainty of a tester's gains, and what the bench states. */
const GAIN = 0.001;
const STATED_PERCENT = 100 * GAIN * Math.sqrt(3);
const AMBIENT_C = 23;
const MAX_DRAWS = 20;
/** So near to what is true is what a bench finds of its current over that of the standard load, and no other standard load is. */
const BESIDE = 1.08;

/** Standings of five testers, one run each, whose loads all lie on one side of the standard load or on both. */
export async function drawStanding(
  population: Population,
  chemistry: Chemistry,
  side: StandingSide,
  name: string,
): Promise<JudgedStanding[]> {
  for (let draw = 0; draw < MAX_DRAWS; draw++) {
    const seed = `${population} ${chemistry} ${side} ${name} ${draw}`;
    const random = randomOf(`standing ${seed}`);
    const pack = drawPack(population, chemistry, seed);
    const standardA = pack.suitedLoadA;
    const runs = Array.from({ length: TESTERS }, (_, tester) =>
      carried(() => ({
        pack,
        load: sizeLoad(
          pack,
          { kind: random.pick(LOAD_KINDS), standardA, ratio: random.between(...RATIOS[side]) },
          random,
        ),
        bench: drawTesterBench(random),
        seed: `${seed} ${tester}`,
        ambientC: AMBIENT_C,
        startC: AMBIENT_C,
      })),
    );
    const truth = runs[0]?.truth.standard(standardA);
    if (!truth || runs.some((run) => run?.truth.own == null)) continue;
    return judgeStanding(runs as SimulatedLog[], standardA, (key) => truth[key], side);
  }
  throw new Error(`no pack of ${population} ${chemistry} ${name} carries five testers' loads`);
}

function drawTesterBench(random: Random) {
  const stated = { percent: STATED_PERCENT, offset: 0 };
  const instrument = () => ({ gain: GAIN * random.normal(), offset: 0, noise: 0, step: 0 });
  const bench = drawExactBench(random);
  return {
    ...bench,
    stated: { ...bench.stated, voltage: stated, current: stated },
    voltage: instrument(),
    current: instrument(),
  };
}

async function judgeStanding(
  runs: readonly SimulatedLog[],
  standardA: number,
  truthOf: (key: string) => number | undefined,
  side: StandingSide,
): Promise<JudgedStanding[]> {
  const byKey = new Map<string, Figure[]>();
  for (const { csv, facts, truth } of runs) {
    const ratio = (truthOf("current-10s") as number) / (truth.own?.["current-10s"] as number);
    const protocol = translatingWithin(FULL_LOAD_1, ratio / BESIDE, ratio * BESIDE);
    const { figures } = await evaluateText(csv, facts, protocol);
    for (const figure of figures) {
      const here = figure.load === standardA;
      if (!here || figure.bound !== "none" || !RANKED_TRANSLATED.includes(figure.key)) continue;
      const known = byKey.get(figure.key);
      if (known) known.push(figure);
      else byKey.set(figure.key, [figure]);
    }
  }
  const { chemistry } = (runs[0] as SimulatedLog).facts.pack;
  return [...byKey].flatMap(([key, figures]) => {
    const truth = truthOf(key);
    if (truth === undefined || figures.length < TESTERS) return [];
    return [{ key, chemistry, side, truth, ...standingOf(figures) }];
  });
}
