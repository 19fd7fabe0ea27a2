import type { Chemistry } from "../../src/core/model.js";
import { buildModel } from "../../src/core/use/model/build-model.js";
import type { PackModel } from "../../src/core/use/model/pack-model.js";
import type { Whose } from "../../src/core/use/perturbed-passes.js";
import { type Prediction, predictUse } from "../../src/core/use/predict.js";
import type { Use } from "../../src/core/use/use.js";
import { CELL_VOLTS } from "../cross-checks/simulator/cell-volts.js";
import { type CourseReaders, readersOf } from "../cross-checks/simulator/course-reader.js";
import { simulateDischarge } from "../cross-checks/simulator/discharge.js";
import { type LoadLaw, resistance, standardLoadOhm } from "../cross-checks/simulator/load.js";
import { drawNoisyBench } from "../cross-checks/simulator/noisy-bench.js";
import type { SimulatedPack } from "../cross-checks/simulator/pack.js";
import type { Population } from "../cross-checks/simulator/populations.js";
import { type Random, randomOf } from "../cross-checks/simulator/random.js";
import {
  carried,
  drawSpecimen,
  type PlannedRun,
  type SimulatedRecord,
  simulateRecord,
  simulateRun,
} from "./pooled-pack.js";

export const SUBJECTS = ["mean", "unknown-specimen", "own-specimen"] as const;
export type Subject = (typeof SUBJECTS)[number];
/** gentler, harder: steady power outside of the currents that were measured. */
export const USES = ["steady", "laps", "cold", "gentler", "harder"] as const;
export type UseKind = (typeof USES)[number];

/** One prediction against what the simulated pack really does. */
export interface Judged {
  readonly chemistry: Chemistry;
  readonly subject: Subject;
  readonly use: UseKind;
  /** Predicted over true less 1, %, at instants to 95 % of the time to the cutoff. */
  readonly voltagePercent: readonly number[];
  /** How many of these lie within two standard uncertainties. */
  readonly voltageWithin: number;
  /** Of the time to the cutoff. */
  readonly timePercent: number;
  /** Whether the prediction says that it is at least so long, and no more. */
  readonly isLowerBound: boolean;
  readonly timeWithin: boolean;
  /** Predicted less true laps; null when the use has none. */
  readonly laps: number | null;
  /** Predicted less true at 95 % of that time. */
  readonly temperatureK: number;
  readonly temperatureWithin: boolean;
}

/** Shares of the suited load at which steady power is drawn. */
const POWER_SHARES = [0.3, 0.6, 1] as const;
/** The same outside of the runs of `THREE_TESTERS`, whose steps begin at a quarter of it. */
const GENTLER_SHARES = [0.08, 0.14] as const;
const HARDER_SHARES = [1.2, 1.32] as const;
const BURST = { seconds: 5, share: 1 } as const;
const CRUISE = { seconds: 15, share: 0.35 } as const;
/** V of a cell under load, by which powers are chosen (common practice). */
const LOADED_VOLTS: Readonly<Record<Chemistry, number>> = { lipo: 3.5, lihv: 3.5, liion: 3.3, lifepo4: 2.9 };
const ROOM_C = 23;
const COLD_C = 8;
const HELD_TO = 0.95;
/** Of a steady power the simulator's steps are so many times as long: they change no voltage or time by more than 0.1 %. */
const STEADY_STEPS = 2;
/** Uses last so much longer than the pack does. */
const LONGER = 1.25;

/** Every kind of use of one pack of which three testers made runs, for its mean and for a specimen that nobody tested. */
export function judgePack(
  population: Population,
  chemistry: Chemistry,
  name: string,
  plans: readonly PlannedRun[],
): Judged[] {
  const record = simulateRecord(population, chemistry, name, plans);
  const model = modelOf(record);
  const random = randomOf(`judged ${population} ${chemistry} ${name}`);
  const specimen = drawSpecimen(record.pack, random);
  const subjects: readonly (readonly [Subject, SimulatedPack, Whose, PackModel])[] = [
    ["mean", record.pack, { kind: "mean" }, model],
    ["unknown-specimen", specimen, { kind: "unknown-specimen" }, model],
    ["own-specimen", specimen, ...ownOf(record, specimen, random)],
  ];
  return subjects.flatMap(([subject, pack, whose, fitted]) => {
    const judge = (use: UseKind, startC: number, shares: readonly number[]) =>
      shares.flatMap((share) => judgeUse({ chemistry, subject, use, pack, whose, model: fitted, startC, share }) ?? []);
    return [
      ...judge("steady", ROOM_C, POWER_SHARES),
      ...judge("laps", ROOM_C, [1]),
      ...judge("gentler", ROOM_C, GENTLER_SHARES),
      ...judge("harder", ROOM_C, HARDER_SHARES),
      ...(subject === "mean" ? judge("cold", COLD_C, [0.6]) : []),
    ];
  });
}

function modelOf({ facts, runs }: Pick<SimulatedRecord, "facts" | "runs">): PackModel {
  const model = buildModel(facts, runs, "established");
  if (!model) throw new Error("the fit ran away");
  return model;
}

/** The model with a full load of one's own specimen beside the others' runs. */
function ownOf(record: SimulatedRecord, specimen: SimulatedPack, random: Random): readonly [Whose, PackModel] {
  const { series } = record.pack.facts;
  const amperes = record.pack.suitedLoadA;
  const bench = drawNoisyBench({ volts: 3.7 * series, amperes }, "normal", random);
  const run = simulateRun(specimen, resistance(standardLoadOhm(series, amperes)), bench, random);
  if (!run) throw new Error("the specimen does not carry its suited load");
  const own = { ...run, id: "run own", specimenId: "own", testerId: "own" };
  const model = modelOf({ facts: record.facts, runs: [...record.runs, own] });
  const scales = model.specimens.find(({ specimenId }) => specimenId === "own");
  if (!scales) throw new Error("a specimen with a run has scales");
  return [{ kind: "specimen", capacity: scales.capacity, resistance: scales.resistance }, model];
}

interface JudgedUse {
  readonly chemistry: Chemistry;
  readonly subject: Subject;
  readonly use: UseKind;
  readonly pack: SimulatedPack;
  readonly whose: Whose;
  readonly model: PackModel;
  readonly startC: number;
  readonly share: number;
}

/** null where the pack does not carry the use at all. */
function judgeUse({ chemistry, subject, use, pack, whose, model, startC, share }: JudgedUse): Judged | null {
  const { series } = pack.facts;
  const full = share * pack.suitedLoadA * LOADED_VOLTS[chemistry] * series;
  const lap = BURST.seconds + CRUISE.seconds;
  const steps =
    use === "laps"
      ? [
          { seconds: BURST.seconds, powerW: BURST.share * full },
          { seconds: CRUISE.seconds, powerW: CRUISE.share * full },
        ]
      : null;
  const load = powerOver((seconds) => (steps === null || seconds % lap < BURST.seconds ? full : CRUISE.share * full));
  const cutoff = CELL_VOLTS[chemistry].cutoff;
  const course = carried(() =>
    simulateDischarge({
      pack,
      load,
      startC,
      ambientC: startC,
      restSeconds: 0.05,
      rampSeconds: 0,
      stop: { volts: series * cutoff, holdSeconds: 0, latestSeconds: 36_000 },
      afterSeconds: 0,
      stepScale: steps ? 1 : STEADY_STEPS,
    }),
  );
  if (!course) return null;
  const lastS = course.offSeconds;
  const asked: Use = {
    steps: steps ?? [{ seconds: lastS * LONGER, powerW: full }],
    repeats: steps ? Math.ceil((lastS * LONGER) / lap) : 1,
    startC,
    ambientC: startC,
    cutoffVoltsPerCell: cutoff,
    reserve: 0,
    temperatureLimitC: 200,
  };
  const prediction = predictUse(reaching(model), asked, whose);
  if (!prediction.answered && (use === "gentler" || use === "harder")) return null;
  return { chemistry, subject, use, ...compare(prediction, readersOf(course), lastS, steps ? lap : null) };
}

/** The model with wide bounds of what it says: what lies beyond is judged too. */
const reaching = (model: PackModel): PackModel => ({
  ...model,
  range: { ...model.range, maxC: 200, startC: [-20, 60] },
});

function compare(prediction: Prediction, truth: CourseReaders, lastS: number, lapS: number | null) {
  const { curve, lasts } = prediction;
  if (lasts === null) throw new Error(`a use within reach was not answered: ${JSON.stringify(prediction.needed)}`);
  const within = curve.filter(({ timeS }) => timeS < HELD_TO * Math.min(lastS, lasts.value));
  const off = within.map(({ timeS, voltageV }) => voltageV - truth.V.at(timeS));
  const last = within.at(-1) as (typeof within)[number];
  const temperatureK = (last.temperatureC as number) - truth.T.at(last.timeS);
  return {
    voltagePercent: within.map(({ timeS }, k) => (100 * (off[k] as number)) / truth.V.at(timeS)),
    voltageWithin: within.filter(({ voltageUncertainty }, k) => Math.abs(off[k] as number) <= 2 * voltageUncertainty)
      .length,
    timePercent: 100 * (lasts.value / lastS - 1),
    isLowerBound: lasts.isLowerBound,
    timeWithin: (lasts.isLowerBound ? lasts.value - lastS : Math.abs(lasts.value - lastS)) <= 2 * lasts.uncertainty,
    laps: lapS === null ? null : Math.floor(lasts.value / lapS) - Math.floor(lastS / lapS),
    temperatureK,
    temperatureWithin: Math.abs(temperatureK) <= 2 * (last.temperatureUncertainty as number),
  };
}

function powerOver(watts: (seconds: number) => number): LoadLaw {
  return {
    kind: "constant-power",
    amperes: (volts, seconds) => watts(seconds) / volts,
    amperesPerVolt: (volts, seconds) => -watts(seconds) / volts ** 2,
  };
}
