import { evaluate } from "../../../src/core/evaluate.js";
import {
  CHEMISTRIES,
  type Chemistry,
  type Figure,
  LOAD_KINDS,
  type LoadKind,
  type PackFacts,
} from "../../../src/core/model.js";
import { FULL_LOAD_1 } from "../../../src/core/protocol/documents/full-load-1.js";
import { translatingWithin } from "../../support/protocols.js";
import { EXACT_BENCH } from "../simulator/bench.js";
import { drawPack } from "../simulator/populations.js";
import { randomOf } from "../simulator/random.js";
import { type SimulatedLog, simulateLog } from "../simulator/simulate-log.js";
import { sizeLoad } from "../simulator/size-load.js";
import type { OutsideCheck } from "./check.js";
import { once } from "./once.js";
import { declaredFor, loadOf } from "./standard-load.js";

const SOURCE =
  "second simulator (test/cross-checks/simulator), written apart from the evaluation and its own population";
const POPULATION = "B";
const NAME = "outside check";
/** The run draws so much more than the standard load that it is translated to. */
const RATIO = 1.06;
/** No other standard load is looked at. */
const NEAR_LOADS = translatingWithin(FULL_LOAD_1, 0.875, 1.125);

/** Digits under the run's own load, which sampling at 20 Hz leaves. */
const OWN: Readonly<Record<string, number>> = { "power-10s": 4, capacity: 3.5, energy: 3.5, "resistance-10s": 3 };
/** Powers within 0.2 %, capacity and energy within 0.65 %: what is claimed at the nearest standard load. */
const TRANSLATED: Readonly<Record<string, number>> = {
  "power-10s": -Math.log10(0.002),
  "power-30s": -Math.log10(0.002),
  capacity: -Math.log10(0.0065),
  energy: -Math.log10(0.0065),
};

interface Drawn {
  readonly run: SimulatedLog;
  readonly standardA: number;
}

function draw(chemistry: Chemistry, kind: LoadKind): Drawn {
  const pack = drawPack(POPULATION, chemistry, NAME);
  const standardA = pack.suitedLoadA;
  const declared = { ...pack, facts: declaredFor(pack.facts, standardA) };
  const load = sizeLoad(declared, { kind, standardA, ratio: RATIO }, randomOf(NAME));
  return { run: simulateLog({ pack: declared, load, bench: EXACT_BENCH, seed: NAME }), standardA };
}

const figuresOf = async ({ csv, facts }: SimulatedLog): Promise<readonly Figure[]> =>
  (await evaluate([Buffer.from(csv)], facts, NEAR_LOADS)).evaluation.figures;

/** The figure under the run's own load (null) or under a standard load. */
function figureOf(figures: readonly Figure[], pack: PackFacts, key: string, load: number | null): number {
  const found = figures.find((figure) => {
    const at = loadOf(figure, pack);
    const here = load === null || at === null ? at === load : Math.abs(at / load - 1) < 1e-9;
    return figure.key === key && here && figure.bound === "none";
  });
  return found?.value ?? Number.NaN;
}

const CASES = CHEMISTRIES.map((chemistry, n) => [chemistry, LOAD_KINDS[n % LOAD_KINDS.length] as LoadKind] as const);

export const SECOND_SIMULATOR: readonly OutsideCheck[] = CASES.flatMap(([chemistry, kind]) => {
  const { run, standardA } = draw(chemistry, kind);
  const figures = once(() => figuresOf(run));
  const figure = async (key: string, load: number | null) => figureOf(await figures(), run.facts.pack, key, load);
  const standard = run.truth.standard(standardA);
  const name = `a simulated ${chemistry} pack with fractional relaxation and charge transfer under ${kind}`;
  return [
    ...Object.entries(OWN).map(([key, digits]) => ({
      what: `${key} of ${name}`,
      source: SOURCE,
      expected: run.truth.own?.[key] ?? Number.NaN,
      got: () => figure(key, null),
      digits,
    })),
    ...Object.entries(TRANSLATED).map(([key, digits]) => ({
      what: `${key} of ${name}, translated to the standard load of ${standardA} A`,
      source: SOURCE,
      expected: standard?.[key] ?? Number.NaN,
      got: () => figure(key, standardA),
      digits,
    })),
  ];
});
