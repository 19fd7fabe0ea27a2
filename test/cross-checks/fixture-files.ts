import { LAYOUTS } from "../../seed/layouts/index.js";
import { measure } from "../../seed/simulator/bench.js";
import { CELL_VOLTS } from "../../seed/simulator/chemistry.js";
import { type DischargePlan, simulateDischarge } from "../../seed/simulator/discharge.js";
import { createPackModel } from "../../seed/simulator/pack-model.js";
import { createRandom } from "../../seed/simulator/random.js";
import { trueFigures } from "../../seed/simulator/truth.js";
import { CLOSED_FORM_NAME, closedFormLog } from "./closed-form.js";
import { TWO_PULSE_NAME, twoPulseLog } from "./closed-form-two-pulse.js";
import { CONSTANT_CURRENT_CASES } from "./constant-current-cases.js";
import { CASES, type FixtureCase } from "./fixture-cases.js";
import { INSTRUMENT_CASES } from "./instrument-cases.js";
import { SEVERAL_LOADS_CASES } from "./several-loads-cases.js";

const FIRST_SEED = 7301;
const AMBIENT_C = 21.5;

function planOf(fixture: FixtureCase): DischargePlan {
  const { pack, run, loadFactor, load, bench, resistanceMilliohmAh, missingShare = 0.006, stepSeconds } = fixture;
  const ratedAh = pack.ratedCapacityMah / 1000;
  const { chemistry, series } = pack;
  const { riseSeconds, ...timing } = run;
  const fullLoadOhm = (series * CELL_VOLTS[chemistry].nominal) / (20 * ratedAh);
  return {
    ...timing,
    pack: createPackModel({
      chemistry,
      series,
      trueCapacityAh: ratedAh,
      resistanceMilliohmAh,
      massGrams: pack.massGrams ?? 0,
    }),
    demand: { kind: bench.facts.load.kind, level: fullLoadOhm * loadFactor, ...load, riseSeconds },
    ambientC: AMBIENT_C,
    chargeMissingC: missingShare * ratedAh * 3600,
    ...(stepSeconds ? { stepSeconds } : {}),
  };
}

/** Texts of the logs, metadata and noise-free figures by file name. */
export function fixtureFiles(): ReadonlyMap<string, string> {
  const files = new Map<string, string>();
  const cases = [...CASES, ...CONSTANT_CURRENT_CASES, ...SEVERAL_LOADS_CASES, ...INSTRUMENT_CASES];
  for (const [index, fixture] of cases.entries()) {
    const { name, bench, pack, currentZeroA, shows, discharge } = fixture;
    const plan = planOf(fixture);
    const random = createRandom(FIRST_SEED + index);
    const log = measure(simulateDischarge(plan), bench, { currentZeroA, cellImbalance: [] }, random);
    const context = { startedAt: new Date(0), title: name, resolution: bench.resolution };
    const rows = Buffer.from(LAYOUTS.comma.write(log, context)).toString("utf8").trimEnd().split("\n");
    const conditions = { ambientC: AMBIENT_C, restMinutes: 30, cycles: 12, setpointA: null, ...fixture.conditions };
    const protocol = { key: fixture.protocol ?? "full-load", version: 1 };
    files.set(`${name}.csv`, `${(fixture.edit?.(rows) ?? rows).join("\n")}\n`);
    const named = discharge === undefined ? {} : { discharge };
    files.set(`${name}.meta.json`, json({ shows, protocol, pack, bench: bench.facts, conditions, ...named }));
    if (fixture.truthAt) {
      const { own, at } = trueFigures(plan, pack);
      const standard = Object.fromEntries(fixture.truthAt.map((loadA) => [loadA, at(loadA)]));
      files.set(`${name}.truth.json`, json({ own, standard }));
    }
  }
  for (const [name, { rows, metadata }] of [
    [CLOSED_FORM_NAME, closedFormLog()],
    [TWO_PULSE_NAME, twoPulseLog()],
  ] as const) {
    files.set(`${name}.csv`, `${rows.join("\n")}\n`);
    files.set(`${name}.meta.json`, json(metadata));
  }
  return files;
}

function json(value: unknown): string {
  return `${JSON.stringify(value, null, 2)}\n`;
}
