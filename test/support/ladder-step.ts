import { simulateDischarge } from "../../seed/simulator/discharge.js";
import { createPackModel } from "../../seed/simulator/pack-model.js";
import { createRandom } from "../../seed/simulator/random.js";
import { BENCH, PACK } from "./facts.js";

const AMBIENT_C = 21;
const REST_S = 5;
const AFTER_S = 8;
const RATE_HZ = 2;
const STEP_S = 0.05;
/** A bench's own cut-out acts a little after the pack has reached the limit. */
const LIMIT_C = 60.3;

/** What a constant-current step of a simulated 4-cell pack of 5 Ah is logged as, at 2 Hz, with the pack's own description. */
export const LADDER_PACK = { ...PACK, labelContinuousC: 30, labelBurstC: 60, massGrams: 540 };
export const LADDER_BENCH = { ...BENCH, load: { kind: "constant-current" }, current: { percent: 0.5, offset: 0.05 } };

/** The log of one step, in CSV; it ends at the voltage cutoff or at the temperature limit, whichever comes first. */
export function ladderStepLog(currentA: number, ambientC = AMBIENT_C): Uint8Array<ArrayBuffer> {
  const plan = (latestSeconds: number) => ({
    pack: createPackModel({
      chemistry: "lipo",
      series: 4,
      trueCapacityAh: 5,
      resistanceMilliohmAh: 15,
      massGrams: 540,
    }),
    demand: { kind: "constant-current" as const, level: currentA, riseSeconds: 0.3 },
    ambientC,
    startC: ambientC,
    chargeMissingC: 0,
    restSeconds: REST_S,
    stop: { volts: 13.1, delaySeconds: 1, latestSeconds },
    afterSeconds: AFTER_S,
    stepSeconds: STEP_S,
  });
  const whole = simulateDischarge(plan(3600));
  const limit = whole.temperature.findIndex((celsius) => celsius >= LIMIT_C);
  const run = limit < 0 ? whole : simulateDischarge(plan(whole.time[limit] as number));
  const random = createRandom(Math.round(currentA * 100));
  const lines = ["t [s],U [V],I [A],T [degC]"];
  for (let i = 0; i < run.time.length; i += Math.round(1 / RATE_HZ / STEP_S)) {
    const seconds = (run.time[i] as number) + REST_S;
    const volts = (run.voltage[i] as number) + 0.002 * random.gaussian();
    const amps = (run.current[i] as number) + 0.05 * random.gaussian();
    const celsius = (run.temperature[i] as number) + 0.05 * random.gaussian();
    lines.push([seconds.toFixed(2), volts.toFixed(3), amps.toFixed(2), celsius.toFixed(1)].join(","));
  }
  return Uint8Array.from(Buffer.from(`${lines.join("\n")}\n`));
}
