import { zstdCompressSync } from "node:zlib";
import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import type { Trace } from "../model.js";
import { parseUnit, toBaseUnit, UNITS_OF, type Unit } from "../units/units.js";
import { decodeTrace, encodeTrace, TRACE_ENCODING } from "./encode.js";
import type { ReadingsOfTrace } from "./readings-of-trace.js";

const NAMES = ["time", "voltage", "current", "temperature"] as const;

/** The bits of a trace's numbers, hexadecimal, by channel: it tells -0 from 0. */
const bitsOf = (trace: Trace) =>
  NAMES.map((name) => {
    const values = trace[name];
    return values && Buffer.from(values.buffer, values.byteOffset, values.byteLength).toString("hex");
  });

function expectBack(trace: Trace, readings?: ReadingsOfTrace): void {
  expect(bitsOf(decodeTrace(TRACE_ENCODING, encodeTrace(trace, readings)))).toEqual(bitsOf(trace));
}

const bytesASample = (trace: Trace, readings?: ReadingsOfTrace) =>
  encodeTrace(trace, readings).length / trace.time.length;

/** A trace of these readings, by the steps that normalisation does. */
function madeOf(readings: ReadingsOfTrace, temperature: Float64Array | null): Trace {
  const { onsetS, offsetA, leadsOhm } = readings;
  const current = offsetA === null ? readings.current : readings.current.map((amperes) => amperes - offsetA);
  return {
    time: readings.time.map((seconds) => seconds - onsetS),
    current,
    voltage:
      leadsOhm === null
        ? readings.voltage
        : readings.voltage.map((volts, i) => volts + (current[i] as number) * leadsOhm),
    temperature,
  };
}

const finite = fc.double({ noNaN: true, noDefaultInfinity: true });
const unitOf = (dimension: keyof typeof UNITS_OF) => fc.constantFrom(...UNITS_OF[dimension]);

/** Numbers as a logger writes them: a walk of whole steps, with so many decimals, in some unit. */
const column = (dimension: keyof typeof UNITS_OF, samples: number, rises = false): fc.Arbitrary<Float64Array> =>
  fc
    .record({
      unit: unitOf(dimension),
      scale: fc.constantFrom(1, 10, 100, 1000, 1e4, 1e6),
      step: fc.constantFrom(1, 1, 5, 25, 50),
      first: fc.integer({ min: -30_000, max: 30_000 }),
      moves: fc.array(fc.integer({ min: rises ? 1 : -300, max: 300 }), { minLength: samples, maxLength: samples }),
    })
    .map(({ unit, scale, step, first, moves }) => {
      let whole = first;
      return toBaseUnit(
        Float64Array.from(moves, (move) => {
          whole += move;
          return (whole * step) / scale;
        }),
        unit,
      );
    });

/** A trace of such columns, of which some samples are missing and some do not stand where they were logged. */
const logged = fc
  .integer({ min: 1, max: 120 })
  .chain((samples) =>
    fc.record({
      time: column("time", samples, true),
      voltage: fc.oneof(
        column("voltage", samples),
        // The sum of the cells where a log has those alone.
        fc
          .array(column("voltage", samples), { minLength: 2, maxLength: 14 })
          .map((cells) =>
            Float64Array.from({ length: samples }, (_, i) => cells.reduce((sum, one) => sum + (one[i] ?? 0), 0)),
          ),
      ),
      current: column("current", samples),
      temperature: fc.option(column("temperature", samples)),
      onsetS: fc.oneof(finite, fc.double({ min: 0, max: 100, noNaN: true })),
      offsetA: fc.option(fc.double({ min: -3, max: 3, noNaN: true })),
      leadsOhm: fc.option(fc.double({ min: 1e-4, max: 1e-1, noNaN: true })),
      dropped: fc.array(fc.nat(samples - 1), { maxLength: 20 }),
      moved: fc.array(fc.tuple(fc.constantFrom(...NAMES), fc.nat(samples - 1), finite), { maxLength: 6 }),
    }),
  )
  .map(({ dropped, moved, temperature, ...whole }) => {
    const gone = new Set(dropped.slice(0, whole.time.length - 1));
    const kept = (values: Float64Array) => values.filter((_, i) => !gone.has(i) || i === 0);
    const readings = { ...whole, time: kept(whole.time), voltage: kept(whole.voltage), current: kept(whole.current) };
    const trace = madeOf(readings, temperature && kept(temperature));
    const changed = Object.fromEntries(NAMES.map((name) => [name, trace[name]?.slice() ?? null])) as unknown as Trace;
    for (const [name, i, value] of moved) {
      const values = changed[name];
      if (values && i < values.length) values[i] = value;
    }
    return { trace: changed, readings };
  });

const anyTrace: fc.Arbitrary<Trace> = fc
  .array(fc.tuple(finite, finite, finite, finite), { minLength: 0, maxLength: 200 })
  .map((rows) => {
    const [time, voltage, current, temperature] = [0, 1, 2, 3].map((at) =>
      Float64Array.from(rows, (row) => row[at] as number),
    );
    return { time, voltage, current, temperature } as Trace;
  });

/** A log of 20,000 samples with the digits, the jitter and the noise of a logger. */
function typical({
  onsetS = 3.2371,
  offsetA = 0.173,
  leadsOhm = 0.0021,
}: Partial<Record<"onsetS" | "offsetA" | "leadsOhm", number>> = {}) {
  const samples = 20_000;
  let state = 1;
  const noise = (size: number) => {
    state = (state * 16_807) % 2_147_483_647;
    return size * (state / 2_147_483_647 - 0.5);
  };
  const column = (scale: number, value: (i: number) => number) =>
    Float64Array.from({ length: samples }, (_, i) => Math.round(scale * value(i)) / scale);
  const readings = {
    time: column(1000, (i) => i / 50 + noise(0.002)),
    voltage: column(1000, (i) => 16 - i / samples + noise(0.01)),
    current: column(100, () => 100 + noise(0.4)),
    onsetS,
    offsetA,
    leadsOhm,
  };
  const temperature = column(10, (i) => 20 + (20 * i) / samples + noise(0.2));
  return { trace: madeOf(readings, temperature), readings };
}

describe("an encoded trace", () => {
  test("comes back to the last bit, whatever its values", () => {
    fc.assert(
      fc.property(anyTrace, (trace) => expectBack(trace)),
      { numRuns: 300 },
    );
  });

  test("comes back to the last bit with the readings that it was made of, whatever was done to them", () => {
    fc.assert(
      fc.property(logged, ({ trace, readings }) => expectBack(trace, readings)),
      { numRuns: 1_000 },
    );
  });

  test("comes back to the last bit with readings that it was not made of", () => {
    fc.assert(
      fc.property(logged, anyTrace, ({ trace, readings }, other) => {
        expectBack(trace, { ...readings, onsetS: readings.onsetS + 1, offsetA: 0.1 });
        const { length } = other.time;
        const fitting = (values: Float64Array) => Float64Array.from({ length }, (_, i) => values[i] ?? 0);
        const { time, voltage, current } = readings;
        expectBack(other, { ...readings, time: fitting(time), voltage: fitting(voltage), current: fitting(current) });
      }),
      { numRuns: 200 },
    );
  });

  test.each([
    ["of one sample", [1.5]],
    ["of the least and the largest numbers", [5e-324, -5e-324, Number.MAX_VALUE, -Number.MAX_VALUE, 0, -0]],
    ["of zeros of both signs", Array.from({ length: 50 }, (_, i) => (i % 3 === 0 ? -0 : 0))],
    ["of what no log holds", [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 1]],
    ["of whole numbers beyond those that are safe", [2e15, -2e15, 9e15, 4e18]],
  ])("%s comes back", (_, numbers) => {
    const values = Float64Array.from(numbers);
    expectBack({ time: values, voltage: values, current: values, temperature: values });
    expectBack({ time: values, voltage: values, current: values, temperature: null });
  });

  test("keeps a missing temperature missing", () => {
    const one = Float64Array.of(1);
    const trace = { time: one, voltage: one, current: one, temperature: null };
    expect(decodeTrace(TRACE_ENCODING, encodeTrace(trace)).temperature).toBeNull();
  });

  test("takes 1.8 bytes a sample of four channels, with zero, onset and leads corrected and without", () => {
    const corrected = typical();
    const asLogged = typical({ onsetS: 0, offsetA: 0, leadsOhm: 0 });
    expect(bytesASample(corrected.trace, corrected.readings)).toBeLessThan(1.8);
    expect(bytesASample(asLogged.trace, asLogged.readings)).toBeLessThan(1.8);
    // Without the readings, each correction keeps its channel off the decimal grid.
    expect(bytesASample(corrected.trace)).toBeGreaterThan(4);
  });

  test("takes hardly more where the spikes of a channel were mended and the cells were summed", () => {
    const { trace, readings } = typical();
    const mended = readings.voltage.map((volts, i) => (i % 500 === 7 ? volts + 1 / 3 : volts));
    const cells = [1, 2, 3, 4, 5, 6].map((cell) => trace.time.map((_, i) => (3600 + ((7 * i * cell) % 40)) / 1000));
    const summed = trace.time.map((_, i) => cells.reduce((sum, cell) => sum + (cell[i] as number), 0));
    for (const voltage of [mended, summed]) {
      const made = { ...readings, voltage };
      const others = madeOf(made, trace.temperature);
      expectBack(others, made);
      expect(bytesASample(others, made)).toBeLessThan(3.5);
    }
  });

  test.each(["degF", "K", "mV", "mA", "ms", "us", "min", "h"])("takes as little where a column is in %s", (symbol) => {
    const { trace, readings } = typical();
    const unit = parseUnit(symbol) as Unit;
    // Rising by 200 in all, in steps of 10 with noise of some of them.
    const wholes = trace.current.map((amperes, i) => 10 * Math.round(i / 1000 + 5 * (amperes - 100)));
    const column = toBaseUnit(wholes, unit);
    const flat = { ...readings, offsetA: null, leadsOhm: null, onsetS: 0 };
    const made = unit.dimension === "temperature" ? flat : { ...flat, [unit.dimension]: column };
    const others = madeOf(made, unit.dimension === "temperature" ? column : trace.temperature);
    expectBack(others, made);
    expect(bytesASample(others, made)).toBeLessThan(1.95);
  });

  test("takes no more where a column stands in steps of 50", () => {
    const { trace } = typical({ onsetS: 0, offsetA: 0, leadsOhm: 0 });
    const [ones, fifties] = [1, 50].map((step) =>
      trace.current.map((amperes) => (step * Math.round(100 * amperes)) / 100),
    );
    const sizeOf = (current = new Float64Array()) => encodeTrace({ ...trace, current }).length;
    expect(sizeOf(fifties) - sizeOf(ones)).toBeLessThan(8);
  });

  test("of an unknown encoding or version, or cut short, is refused", () => {
    const { trace, readings } = typical();
    const bytes = encodeTrace(trace, readings);
    expect(() => decodeTrace("other", bytes)).toThrow("unknown trace encoding");
    expect(() => decodeTrace(TRACE_ENCODING, Buffer.concat([Buffer.of(9), bytes.subarray(1)]))).toThrow(
      "unknown version 9",
    );
    for (const length of [0, 1, 4, 30, 400, bytes.length - 1]) {
      expect(() => decodeTrace(TRACE_ENCODING, bytes.subarray(0, length))).toThrow();
    }
  });

  test("that an earlier version stored is read as that version wrote it", () => {
    // By its layout: differences of 1000ths less 0.25, in 32 bits; doubles; both with their bytes sorted by significance.
    const differences = zstdCompressSync(sorted(Buffer.from(Int32Array.of(1000, 20, 21, -1).buffer), 4));
    const doubles = zstdCompressSync(sorted(Buffer.from(Float64Array.of(16.8, 1 / 3, -0, 5e-324).buffer), 8));
    const channels = [
      { channel: "time", scale: 1000, shift: 0.25, bytes: differences.length },
      { channel: "voltage", scale: null, shift: 0, bytes: doubles.length },
      { channel: "current", scale: null, shift: 0, bytes: doubles.length },
    ];
    const header = Buffer.from(JSON.stringify({ samples: 4, channels }));
    const length = Buffer.alloc(4);
    length.writeUInt32LE(header.length);
    const stored = Buffer.concat([length, header, differences, doubles, doubles]);
    expect(decodeTrace("packledger-trace-1", stored)).toEqual({
      time: Float64Array.of(1 - 0.25, 1.02 - 0.25, 1.041 - 0.25, 1.04 - 0.25),
      voltage: Float64Array.of(16.8, 1 / 3, -0, 5e-324),
      current: Float64Array.of(16.8, 1 / 3, -0, 5e-324),
      temperature: null,
    });
  });
});

function sorted(bytes: Buffer, width: number): Buffer {
  const count = bytes.length / width;
  return Buffer.from(bytes.map((_, at) => bytes[(at % count) * width + Math.floor(at / count)] as number));
}
