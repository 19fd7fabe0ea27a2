import type { Case } from "./cases.js";
import type { Draft, Row } from "./draft.js";
import { FULL_LOAD, inside, LADDER, PACK, TWO_PULSE } from "./runs.js";

const edited = (edit: (row: Row, secondsUnderLoad: number) => Partial<Row>, draft: Draft = FULL_LOAD): Draft => ({
  ...draft,
  edit: (rows, { restSeconds }) => rows.map((row) => ({ ...row, ...edit(row, row.time - restSeconds) })),
});
const within = (seconds: number, from: number, to: number) => seconds >= from && seconds < to;

/** The numbers of the rows from `fromS` on, written again into as many rows from `toS` on. */
const repeated = (fromS: number, toS: number, lengthS: number): Draft => ({
  ...FULL_LOAD,
  edit: (rows) => {
    const [first, again] = [fromS, toS].map((seconds) => rows.findIndex(({ time }) => time >= seconds)) as [
      number,
      number,
    ];
    return rows.map((row, i) => {
      const { voltage, current } = rows[i - again + first] ?? row;
      return within(row.time, toS, toS + lengthS) ? { ...row, voltage, current } : row;
    });
  },
});

/** Instruments without noise, and digits enough to see it. */
const computed: Draft = {
  ...FULL_LOAD,
  bench: {
    ...FULL_LOAD.bench,
    noise: { volts: 0, amperes: 0, kelvin: 0.05 },
    resolution: { volts: 1e-10, amperes: 1e-10, kelvin: 0.1 },
  },
  decimals: [1, 10, 9],
};

/** Numbers that no bench reads off such a pack. */
export const PLAUSIBILITY_CASES: readonly Case[] = [
  {
    fails: ["voltage-plausible"],
    shows: "a loose wire makes the pack read 8 V for half a second",
    draft: {
      ...edited(({ voltage }, seconds) => ({ voltage: within(seconds, 60, 60.4) ? 8.1 : voltage })),
      bench: { ...FULL_LOAD.bench, rateHz: 10 },
    },
  },
  {
    fails: ["power-agrees"],
    shows: "logged power 5 % above voltage times current",
    draft: { ...edited(({ power }) => ({ power: 1.05 * power })), columns: ["temperature", "power"] },
  },
  {
    fails: ["charge-agrees"],
    shows: "a charge counter 8 % above the integral of the current",
    draft: { ...edited(({ charge }) => ({ charge: 1.08 * charge })), columns: ["temperature", "charge"] },
  },
  {
    fails: ["energy-agrees"],
    shows: "an energy counter a tenth above the integral of the power",
    draft: { ...edited(({ energy }) => ({ energy: 1.1 * energy })), columns: ["temperature", "energy"] },
  },
  {
    fails: ["repeated-stretch"],
    shows: "35 s of the run stand in it twice",
    draft: repeated(20, 70, 35),
  },
  {
    fails: ["noise-floor"],
    shows: "computed from a model of a pack and not measured",
    draft: computed,
  },
  {
    fails: ["sensor-stuck"],
    shows: "the voltage stays on one number for 8 s while the throttle is eased",
    draft: edited(
      ({ voltage, current }, seconds) => ({
        voltage: within(seconds, 60, 68) ? 14.2 : voltage,
        current: within(seconds, 62, 66) ? 0.62 * current : current,
      }),
      { ...FULL_LOAD, plan: { ...FULL_LOAD.plan, pack: inside(5, 12) } },
    ),
  },
  {
    fails: ["capacity-plausible"],
    shows: "a pack that gives a quarter more than its label says",
    draft: {
      ...FULL_LOAD,
      pack: { ...PACK, massGrams: 700 },
      plan: { ...FULL_LOAD.plan, pack: inside(6.6, 6) },
    },
  },
  {
    fails: ["specific-energy-plausible"],
    shows: "a pack declared at half its mass",
    draft: { ...FULL_LOAD, pack: { ...PACK, massGrams: 270 } },
  },
  {
    fails: ["temperature-follows"],
    shows: "a step of a ladder whose probe hangs in the air beside the pack",
    draft: edited((_, seconds) => ({ temperature: 22 + 0.1 * Math.round(Math.sin(seconds)) }), LADDER),
  },
  {
    fails: ["probes-plausible"],
    shows: "a step of a ladder with a second probe whose wire is broken",
    draft: { ...edited(() => ({ probe: -40 }), LADDER), columns: ["temperature", "probe"] },
  },
  {
    fails: ["resistance-positive"],
    shows: "a step of a ladder whose voltage rises under load at first",
    draft: edited(({ voltage }, seconds) => ({ voltage: within(seconds, 0.6, 14) ? voltage + 0.68 : voltage }), LADDER),
  },
  {
    fails: ["resistance-by-load"],
    shows: "the voltage sensor is at the end of its range in the second of two pulses",
    draft: edited(
      ({ voltage }, seconds) => ({ voltage: within(seconds, 10, 12) ? voltage + 0.0145 : voltage }),
      TWO_PULSE,
    ),
  },
];
