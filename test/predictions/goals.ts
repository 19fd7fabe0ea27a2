import type { Chemistry } from "../../src/core/model.js";
import type { Judged, Subject, UseKind } from "./judge-pack.js";

/** What is published of predictions, met or not. */
export interface Goal {
  readonly name: string;
  readonly reached: number;
  readonly wanted: number;
  readonly isMet: boolean;
}

const VOLTAGE_PERCENT: Readonly<Record<Chemistry, number>> = { lipo: 1, lihv: 1, liion: 1.5, lifepo4: 1 };
const COLD_VOLTAGE_PERCENT = 1.5;
const TIME_PERCENT: Readonly<Record<Subject, number>> = { mean: 3, "unknown-specimen": 4.5, "own-specimen": 1.5 };
const TEMPERATURE_K: Readonly<Record<UseKind, number>> = {
  steady: 1.5,
  laps: 1.5,
  cold: 2.5,
  gentler: 1.5,
  harder: 1.5,
};
const SHARE = 0.95;
const COVERED = 0.92;

/** The shares of predictions that lie within each goal; SHARE is asked unless `least` says otherwise. */
export function goalsOf(all: readonly Judged[]): Goal[] {
  const judged = all.filter(({ use }) => use !== "gentler" && use !== "harder");
  const goals: Goal[] = [];
  const add = (name: string, hits: readonly boolean[], wanted = SHARE) => {
    if (hits.length === 0) return;
    const reached = hits.filter(Boolean).length / hits.length;
    goals.push({ name, reached, wanted, isMet: reached >= wanted });
  };
  const room = judged.filter(({ use }) => use !== "cold");
  for (const chemistry of ["lipo", "lihv", "liion", "lifepo4"] as const) {
    const limit = VOLTAGE_PERCENT[chemistry];
    const volts = room.filter((one) => one.chemistry === chemistry).flatMap(({ voltagePercent }) => voltagePercent);
    add(
      `voltage within ${limit} %, ${chemistry}`,
      volts.map((off) => Math.abs(off) <= limit),
    );
  }
  const cold = judged.filter(({ use }) => use === "cold").flatMap(({ voltagePercent }) => voltagePercent);
  add(
    `voltage within ${COLD_VOLTAGE_PERCENT} %, from the cold`,
    cold.map((off) => Math.abs(off) <= COLD_VOLTAGE_PERCENT),
  );
  for (const [subject, limit] of Object.entries(TIME_PERCENT)) {
    const steady = room.filter((one) => one.subject === subject && one.use === "steady");
    add(
      `time to cutoff within ${limit} %, ${subject}`,
      steady.map(({ timePercent }) => Math.abs(timePercent) <= limit),
    );
  }
  add(
    "laps by count +-1",
    room.flatMap(({ laps }) => (laps === null ? [] : [Math.abs(laps) <= 1])),
  );
  add(
    "temperature",
    judged.map(({ use, temperatureK }) => Math.abs(temperatureK) <= TEMPERATURE_K[use]),
  );
  add(
    "voltage within 2 u",
    judged.flatMap(({ voltagePercent, voltageWithin }) => voltagePercent.map((_, k) => k < voltageWithin)),
    COVERED,
  );
  add(
    "time within 2 u",
    judged.map(({ timeWithin }) => timeWithin),
    COVERED,
  );
  add(
    "temperature within 2 u",
    judged.map(({ temperatureWithin }) => temperatureWithin),
    COVERED,
  );
  for (const use of ["gentler", "harder"] as const) {
    const outside = all.filter((one) => one.use === use);
    add(
      `voltage within 2 u, ${use} than measured`,
      outside.flatMap(({ voltagePercent, voltageWithin }) => voltagePercent.map((_, k) => k < voltageWithin)),
      COVERED,
    );
    add(
      `time within 2 u, ${use} than measured`,
      outside.map(({ timeWithin }) => timeWithin),
      COVERED,
    );
  }
  return goals;
}
