import { describe, expect, test } from "@jest/globals";
import { channelsOf, instants, traceOf } from "../../../test/support/traces.js";
import { toSamples } from "./samples.js";

// docs/definitions.md, 1 to 4.
const time = instants(0, 9.9, 10);
const trace = traceOf(time, { volts: (t) => 16 - t / 10, amperes: () => 60 });
const samplesOf = (more: Parameters<typeof channelsOf>[1]) => toSamples(channelsOf(trace, more), 4);
const changed = (values: Float64Array, changes: Record<number, number>) =>
  values.map((value, i) => changes[i] ?? value);
const { NaN: NONE } = Number;

describe("rows become samples", () => {
  test("as they are, when nothing is wrong with them", () => {
    const samples = samplesOf({});
    expect(samples.time).toEqual(time);
    expect([samples.unusable.count, samples.duplicates.count, samples.unordered.count, samples.turned]).toEqual([
      0,
      0,
      0,
      false,
    ]);
  });

  test("without those that lack voltage or current, counted with the line of the first", () => {
    const samples = samplesOf({
      voltage: changed(trace.voltage, { 5: NONE }),
      current: changed(trace.current, { 7: NONE }),
    });
    expect(samples.time.length).toBe(98);
    expect(samples.unusable).toMatchObject({ count: 2 });
    expect(samples.unusable.between(0, 98).first).toEqual({ line: 7 });
  });

  test("with exact duplicates merged", () => {
    const twice = {
      time: changed(time, { 5: time[4] as number }),
      voltage: changed(trace.voltage, { 5: trace.voltage[4] as number }),
    };
    const { duplicates, unordered } = samplesOf(twice);
    expect([duplicates.count, duplicates.between(0, 99), unordered.count]).toEqual([
      1,
      { count: 1, first: { line: 7 } },
      0,
    ]);
  });

  test("without those whose time does not rise, though values differ", () => {
    expect(samplesOf({ time: changed(time, { 5: time[4] as number }) })).toMatchObject({
      duplicates: { count: 0 },
      unordered: { count: 1 },
    });
    const back = samplesOf({ time: changed(time, { 50: 1, 51: 1.1 }) });
    expect(back.unordered.between(0, 98)).toEqual({ count: 2, first: { line: 52 } });
    // After the samples before row 50, and nowhere else.
    expect([back.unordered.between(0, 49).count, back.unordered.between(50, 98).count]).toEqual([0, 2]);
    expect([...back.time].every((t, i, all) => i === 0 || t > (all[i - 1] as number))).toBe(true);
  });

  test("with discharge positive, whichever sign the log gives it", () => {
    const samples = samplesOf({ current: changed(trace.current, { 3: 4 }).map((a, i) => (i === 3 ? a : -a)) });
    expect(samples.turned).toBe(true);
    expect([...samples.current.subarray(2, 5)]).toEqual([60, -4, 60]);
  });

  test.each([
    [20, false],
    [19, true],
  ])("of %d rows: refused as too short: %p", (rows, refused) => {
    const cut = (values: Float64Array) => values.subarray(0, rows);
    const read = () => samplesOf({ time: cut(time), voltage: cut(trace.voltage), current: cut(trace.current) });
    if (refused) expect(read).toThrow(expect.objectContaining({ code: "log-too-short" }));
    else expect(read().time.length).toBe(20);
  });
});

describe("the pack's voltage", () => {
  const cells = [4.0, 4.1, 3.9, 4.05].map((volts) => time.map(() => volts));

  test("is the sum of its cells where only those were logged", () => {
    const samples = samplesOf({ voltage: null, cells, dischargeSign: 1 });
    expect(samples.voltage[0]).toBeCloseTo(16.05, 12);
    expect(samples.lowestCell?.[0]).toBe(3.9);
    expect(samples.cells.map((cell) => cell[0])).toEqual([4.0, 4.1, 3.9, 4.05]);
    expect(samples.meanCell?.[0]).toBeCloseTo(16.05 / 4, 12);
  });

  test("stands for the mean cell where some cells were not logged", () => {
    expect(samplesOf({ cells: cells.slice(1) }).meanCell?.[0]).toBe(4);
  });

  test("is refused when cells are missing, and says how many", () => {
    expect(() => samplesOf({ voltage: null, cells: cells.slice(1) })).toThrow(
      "3 cell voltages and no pack voltage, but the pack has 4",
    );
  });

  test("is the logged one before its cells", () => expect(samplesOf({ cells }).voltage[0]).toBe(16));
});

describe("the temperature", () => {
  const probe = (value: (i: number) => number) => time.map((_, i) => value(i));

  test("is that of the hotter probe, sample by sample, and of the one that reads where the other does not", () => {
    const samples = samplesOf({
      temperatures: [probe((i) => (i < 50 ? 30 : 20)), probe((i) => (i === 2 ? NONE : 25))],
    });
    expect([samples.temperature?.[0], samples.temperature?.[2], samples.temperature?.[60]]).toEqual([30, 30, 25]);
  });

  test("is interpolated in time over gaps, and held at the ends", () => {
    const { temperature } = samplesOf({ temperatures: [probe((i) => (i === 10 ? 20 : i === 30 ? 40 : NONE))] });
    expect([0, 10, 15, 30, 99].map((i) => temperature?.[i])).toEqual([20, 20, 25, 40, 40]);
  });

  test("is none when no probe ever reads, or none was logged", () => {
    expect(samplesOf({ temperatures: [probe(() => NONE)] }).temperature).toBeNull();
    expect(samplesOf({}).temperature).toBeNull();
  });
});
