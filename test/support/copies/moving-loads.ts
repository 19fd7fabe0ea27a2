import type { Trace } from "../../../src/core/model.js";
import type { LoadLaw } from "../../cross-checks/simulator/load.js";
import { drawNoisyBench } from "../../cross-checks/simulator/noisy-bench.js";
import { drawPack, POPULATIONS } from "../../cross-checks/simulator/populations.js";
import { type Random, randomOf } from "../../cross-checks/simulator/random.js";
import { simulateLog } from "../../cross-checks/simulator/simulate-log.js";
import { sizeLoad } from "../../cross-checks/simulator/size-load.js";

/** What a load does by itself over seconds. None of these numbers has a published source. */
export const MOVING_LOADS = {
  /** An electronic load that holds its current, but for its instruments' noise. */
  "ideal constant current": { kind: "constant-current", movement: () => () => 0 },
  "ideal resistor": { kind: "constant-resistance", movement: () => () => 0 },
  /** Resistors that warm, and a fan that blows over them. */
  "drifting resistors": { kind: "constant-resistance", movement: (random) => wandering(random, 6, 0.003) },
  /** A regulator that hunts. */
  "hunting regulator": { kind: "constant-current", movement: (random) => wandering(random, 0.6, 0.004) },
  /** A motor with its propeller. */
  propeller: { kind: "throttle", movement: (random) => wandering(random, 2, 0.006) },
  /** A throttle that is moved by hand. */
  "throttle by hand": { kind: "throttle", movement: (random) => stepping(random, 0.015) },
} as const satisfies Readonly<Record<string, MovingLoad>>;
export type MovingLoadName = keyof typeof MOVING_LOADS;

interface MovingLoad {
  readonly kind: LoadLaw["kind"];
  /** Draws the share by which the load departs from its law at each instant of a run, s. */
  readonly movement: (random: Random) => (seconds: number) => number;
}

const GRID_S = 0.05;
const LONGEST_S = 7200;

/** A value kept on a grid as far as it was asked for, on straight lines between. */
function onGrid(next: () => number): (seconds: number) => number {
  const values: number[] = [];
  return (seconds) => {
    const place = Math.min(Math.max(0, seconds), LONGEST_S) / GRID_S;
    const first = Math.floor(place);
    while (values.length < first + 2) values.push(next());
    const [a, b] = [values[first] as number, values[first + 1] as number];
    return a + (place - first) * (b - a);
  };
}

/** An Ornstein-Uhlenbeck process: what is left of a departure after `memoryS` is 1/e. */
function wandering(random: Random, memoryS: number, deviation: number): (seconds: number) => number {
  const kept = Math.exp(-GRID_S / memoryS);
  let value = deviation * random.normal();
  return onGrid(() => {
    value = kept * value + Math.sqrt(1 - kept * kept) * deviation * random.normal();
    return value;
  });
}

/** Positions held for 1 to 6 s, and moved to within about 0.3 s. */
function stepping(random: Random, deviation: number): (seconds: number) => number {
  let [value, target, left] = [0, 0, 0];
  return onGrid(() => {
    left -= GRID_S;
    if (left <= 0) [target, left] = [deviation * random.normal(), random.between(1, 6)];
    value += (target - value) * (GRID_S / 0.15);
    return value;
  });
}

export interface MovingLoadRun {
  readonly load: MovingLoadName;
  /** Decides the pack, the load's level and the bench. */
  readonly bench: number;
  /** Decides what the load does by itself, the noise and the temperatures. */
  readonly run: number;
}

/** A run of a pack of the second simulator on an honest bench whose load moves by itself. */
export function movingLoadTrace({ load, bench, run }: MovingLoadRun): Trace {
  const seed = `moving ${load} ${bench}`;
  const random = randomOf(seed);
  const pack = drawPack(POPULATIONS[bench % POPULATIONS.length] as "A", random.pick(["lipo", "liion", "lihv"]), seed);
  const { kind, movement } = MOVING_LOADS[load];
  const law = sizeLoad(pack, { kind, standardA: pack.suitedLoadA, ratio: random.between(0.8, 1.2) }, random);
  const amperes = pack.suitedLoadA;
  const drawn = drawNoisyBench({ volts: pack.facts.series * 3.7, amperes }, "normal", random);
  const moved = movement(randomOf(`${seed} ${run}`));
  const moving: LoadLaw = {
    kind,
    amperes: (volts, seconds) => law.amperes(volts, seconds) * (1 + moved(seconds)),
    amperesPerVolt: (volts, seconds) => law.amperesPerVolt(volts, seconds) * (1 + moved(seconds)),
  };
  const { log } = simulateLog({ pack, load: moving, bench: drawn, seed: `${seed} ${run}` });
  const onset = drawn.restSeconds;
  return {
    time: Float64Array.from(log.time, (t) => t - onset),
    voltage: Float64Array.from(log.voltage),
    current: Float64Array.from(log.current),
    temperature: log.temperature ? Float64Array.from(log.temperature) : null,
  };
}
