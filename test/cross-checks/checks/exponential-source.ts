import { evaluate } from "../../../src/core/evaluate.js";
import type { Figure, PackFacts } from "../../../src/core/model.js";
import { FULL_LOAD_1 } from "../../../src/core/protocol/documents/full-load-1.js";
import { translatingWithin, withoutTranslations } from "../../support/protocols.js";
import { type ExponentialSource, figuresUnderResistance, type SourceLoad } from "../exponential-source.js";
import { exponentialLog } from "../exponential-source-log.js";
import { standardLoadOhm } from "../simulator/load.js";
import type { OutsideCheck } from "./check.js";
import { once } from "./once.js";
import { declaredFor, loadOf } from "./standard-load.js";

const KEYS = ["power-10s", "power-30s", "capacity", "energy"] as const;
const digitsOf = (share: number) => -Math.log10(share);
/** No cell's curve is an exponential: a source that no chemistry resembles costs a little more than the 0.2 % that is claimed for packs. */
const POWER_DIGITS = digitsOf(0.003);

/** What sampling at 20 Hz leaves. */
const OWN_DIGITS = 7;

interface Case {
  readonly name: string;
  readonly source: ExponentialSource;
  readonly pack: PackFacts;
  readonly cutoffVolts: number;
  /** The standard load that the runs lie near, A. */
  readonly standardA: number;
  /**
   * The voltage falls by 6 mV per cell over the last hundredth of the charge and not by tens of mV: capacity and energy are uncertain,
   * and hold the truth within their U = 2 u, which is not small.
   */
  readonly slowEnd: boolean;
}

/** What is claimed of capacities and energies at the nearest standard load. */
const CHARGE_DIGITS = digitsOf(0.0065);
const WITHIN = "within U";

const pack = (chemistry: PackFacts["chemistry"], series: number): PackFacts => ({
  chemistry,
  series,
  parallel: 1,
  ratedCapacityMah: 5000,
  labelContinuousC: null,
  labelBurstC: null,
  massGrams: null,
});

const CASES: readonly Case[] = [
  {
    name: "4 cells that settle, U = 2.2 V + 2 V exp(-q / 45800 C)",
    source: { U0: 8.8, a: 8, q0: 45_800, ohm: 0.008 },
    pack: pack("lipo", 4),
    cutoffVolts: 13.2,
    standardA: 100,
    slowEnd: true,
  },
  {
    name: "4 cells that fall at the end, U = 3.8 V - 0.005 V exp(q / 3500 C)",
    source: { U0: 15.2, a: -0.02, q0: -3500, ohm: 0.008 },
    pack: pack("lipo", 4),
    cutoffVolts: 13.2,
    standardA: 100,
    slowEnd: false,
  },
  {
    name: "4 LiFePO4 cells that fall at the end, U = 3.31 V - 0.002 V exp(q / 3000 C)",
    source: { U0: 13.24, a: -0.008, q0: -3000, ohm: 0.008 },
    pack: pack("lifepo4", 4),
    cutoffVolts: 10.4,
    standardA: 100,
    slowEnd: false,
  },
];

/** Runs are translated to the loads within an eighth of their own: no other is looked at. */
const NEAR_LOADS = translatingWithin(FULL_LOAD_1, 0.875, 1.125);

const SOURCES: Readonly<Record<SourceLoad["kind"], string>> = {
  "constant-resistance": "closed form of dq/dt = U(q) / (R + r) (derived), for the run and for the standard load",
  "constant-current": "closed forms: q = I t for the run, dq/dt = U(q) / (R + r) for the standard load (derived)",
  "constant-power": "Runge-Kutta integration in steps of 5 ms for the run, closed form for the standard load (derived)",
};

/** Current of a run of each kind at its start over that of the standard load. */
const RATIOS: Readonly<Record<SourceLoad["kind"], number>> = {
  "constant-resistance": 0.92,
  "constant-current": 1.09,
  "constant-power": 0.95,
};

function loadOfKind({ source, pack: { series }, standardA }: Case, kind: SourceLoad["kind"]): SourceLoad {
  const volts = source.U0 + source.a;
  const amperes = (RATIOS[kind] * volts) / (standardLoadOhm(series, standardA) + source.ohm);
  const loaded = volts - amperes * source.ohm;
  switch (kind) {
    case "constant-resistance":
      return { kind, ohm: loaded / amperes };
    case "constant-current":
      return { kind, amperes };
    case "constant-power":
      return { kind, watts: loaded * amperes };
  }
}

/** The translated figures nearest to a standard load, and that load. */
async function translated(one: Case, load: SourceLoad): Promise<{ load: number; figures: readonly Figure[] }> {
  const belowVolts = 0.05 * one.pack.series;
  const declared = declaredFor(one.pack, one.standardA);
  const { log, facts } = exponentialLog(one.source, load, one.cutoffVolts - belowVolts, declared);
  const { figures } = (await evaluate([Buffer.from(log)], facts, NEAR_LOADS)).evaluation;
  const loads = [...new Set(figures.map((figure) => loadOf(figure, declared)))].filter((found) => found !== null);
  const far = (found: number) => Math.abs(Math.log(found / one.standardA));
  const nearest = loads.reduce((best, found) => (far(found) < far(best) ? found : best), loads[0] ?? Number.NaN);
  return { load: nearest, figures: figures.filter((figure) => loadOf(figure, declared) === nearest) };
}

function translatedChecks(one: Case, kind: SourceLoad["kind"]): OutsideCheck[] {
  const standard = figuresUnderResistance(one.source, standardLoadOhm(one.pack.series, one.standardA), one.cutoffVolts);
  const run = once(() => translated(one, loadOfKind(one, kind)));
  const figureOf = async (key: string): Promise<Figure | undefined> => {
    const { load: at, figures } = await run();
    const here = Math.abs(at / one.standardA - 1) < 1e-9;
    return here ? figures.find((figure) => figure.key === key && figure.bound === "none") : undefined;
  };
  return KEYS.map((key) => {
    const name = `${key} at the standard load of ${one.standardA} A of ${one.name}`;
    const what = `${name}, run under ${kind} at ${RATIOS[kind]} of its current`;
    const source = SOURCES[kind];
    const isPower = key.startsWith("power");
    if (!isPower && one.slowEnd) {
      return { what, source, expected: WITHIN, got: async () => standsWithin(await figureOf(key), standard[key]) };
    }
    const got = async () => (await figureOf(key))?.value ?? Number.NaN;
    return { what, source, expected: standard[key], got, digits: isPower ? POWER_DIGITS : CHARGE_DIGITS };
  });
}

function standsWithin(figure: Figure | undefined, truth: number): string {
  if (!figure) return "absent";
  const { value, uncertainty } = figure;
  return Math.abs(value - truth) <= 2 * uncertainty ? WITHIN : `${value} with U ${2 * uncertainty}, not ${truth}`;
}

/** The figures of a run under its own resistance. */
async function ownFigures(one: Case, ohm: number): Promise<readonly Figure[]> {
  const load: SourceLoad = { kind: "constant-resistance", ohm };
  const { log, facts } = exponentialLog(one.source, load, 0.98 * one.cutoffVolts, one.pack);
  const { figures } = (await evaluate([Buffer.from(log)], facts, withoutTranslations(FULL_LOAD_1))).evaluation;
  return figures.filter((figure) => loadOf(figure, one.pack) === null);
}

/** The run under its own resistance needs no translation: what is left is sampling at 20 Hz. */
function ownChecks(one: Case): OutsideCheck[] {
  const ohm = 1.2 * standardLoadOhm(one.pack.series, one.standardA);
  const own = figuresUnderResistance(one.source, ohm, one.cutoffVolts);
  const run = once(() => ownFigures(one, ohm));
  return [...KEYS, "runtime" as const].map((key) => ({
    what: `${key} under the run's own resistance of ${one.name}`,
    source: SOURCES["constant-resistance"],
    expected: own[key],
    got: async () => (await run()).find((figure) => figure.key === key)?.value ?? Number.NaN,
    digits: OWN_DIGITS,
  }));
}

export const EXPONENTIAL_SOURCE: readonly OutsideCheck[] = CASES.flatMap((one) => [
  ...ownChecks(one),
  ...Object.keys(RATIOS).flatMap((kind) => translatedChecks(one, kind as SourceLoad["kind"])),
]);
