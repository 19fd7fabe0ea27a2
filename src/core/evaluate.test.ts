import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "@jest/globals";
import { createRandom } from "../../seed/simulator/random.js";
import { evaluateText } from "../../test/support/evaluated.js";
import { FACTS } from "../../test/support/facts.js";
import { LAYOUTS, rowsOf } from "../../test/support/layouts.js";
import { type ModelPack, pulledBy } from "../../test/support/source-runs.js";
import { evaluate } from "./evaluate.js";
import { COMPUTATION_VERSION, type Evaluation, type Trace } from "./model.js";
import { FULL_LOAD_1 } from "./protocol/documents/full-load-1.js";
import { LOG_ERROR_CODES } from "./table/log-error.js";

const PACK: ModelPack = {
  openCircuitVolts: (charge) => 16.75 - charge / 9000 - 1.5 * Math.exp((charge - 15_000) / 800),
  resistance: { earlyOhm: 0.012, growthOhm: 0.002 },
};

/** 3 s of rest, the pack under 0.15 ohm down to its cutoff, and 2 s after, with the noise of a bench. */
function noisyRun(): Trace {
  const random = createRandom(41);
  const loaded = pulledBy(0.15, PACK, 13.18, 10);
  const length = loaded.time.length + 30;
  const during = (i: number) => i >= 30;
  const along = (value: (i: number) => number) => Float64Array.from({ length }, (_, i) => value(i));
  return {
    time: along((i) => i / 10 + 0.004 * random.uniform()),
    voltage: along((i) => (during(i) ? (loaded.voltage[i - 30] as number) : 16.75) + 0.003 * random.gaussian()),
    current: along((i) => (during(i) ? (loaded.current[i - 30] as number) : 0) + 0.1 * random.gaussian()),
    temperature: along((i) => 22 + Math.max(0, i - 30) / 60),
  };
}

const ROWS = rowsOf(noisyRun());
const written = (name: string) => Buffer.from(LAYOUTS[name]?.(ROWS) ?? "");
const evaluated = new Map<string, Promise<Evaluation>>();

/** A meter of cells is stated for each of them: a quarter of what counts for the pack of four. */
const CELLS_ALONE = "four cells in place of the pack";
const { percent, offset } = FACTS.bench.voltage;
const OF_EACH_CELL = { ...FACTS, bench: { ...FACTS.bench, voltage: { percent, offset: offset / 4 } } };

/** Each layout is evaluated once, however many tests look at it. */
function evaluationOf(name: string): Promise<Evaluation> {
  const known = evaluated.get(name) ?? evaluateText(written(name), name === CELLS_ALONE ? OF_EACH_CELL : FACTS);
  evaluated.set(name, known);
  return known;
}

const plain = evaluationOf("commas and points");

describe("the same log, facts and protocol", () => {
  test("give the same result, byte for byte", async () => {
    expect(JSON.stringify(await evaluateText(written("commas and points")))).toBe(JSON.stringify(await plain));
  });

  test.each([1, 7, 1000, 65_536])("give the same result in chunks of %d bytes", async (size) => {
    for (const name of ["commas and points", "UTF-16", "gzip"]) {
      const log = written(name);
      function* chunks() {
        for (let at = 0; at < log.length; at += size) yield log.subarray(at, at + size);
      }
      const { evaluation } = await evaluate(chunks(), FACTS, FULL_LOAD_1);
      expect(JSON.stringify(evaluation)).toBe(JSON.stringify(await evaluationOf(name)));
    }
  });

  test("give a result that comes back from JSON as it was, with the versions that made it", async () => {
    const evaluation = await plain;
    expect(JSON.parse(JSON.stringify(evaluation))).toStrictEqual(evaluation);
    expect(evaluation.computationVersion).toBe(COMPUTATION_VERSION);
    expect(evaluation.protocol).toEqual({ key: "full-load", version: 1 });
  });

  test("leave the bytes of the log as they were", async () => {
    const log = written("commas and points");
    await evaluateText(log);
    expect(log.equals(written("commas and points"))).toBe(true);
  });
});

test("the run that the layouts hold conforms, under both loads", async () => {
  const { verdict, trace, log, figures } = await plain;
  expect([verdict, trace.stop, log.rows]).toEqual(["conforming", "cutoff", ROWS.length]);
  expect(new Set(figures.map(({ basis }) => basis))).toEqual(new Set(["corrected", "translated"]));
});

describe("the same readings in another layout give the same figures and outcomes", () => {
  /** Rules whose outcome is to tell the layouts apart. */
  const OWN_RULES = new Set(["discharge-sign", "cell-voltage-plausible", "cell-spread", "cell-spread-at-rest"]);
  const outcomes = ({ findings }: Evaluation) =>
    findings.filter(({ rule }) => !OWN_RULES.has(rule)).map(({ rule, outcome }) => `${rule} ${outcome}`);

  test.each(Object.keys(LAYOUTS))("%s", async (name) => {
    const evaluation = await evaluationOf(name);
    const expected = await plain;
    expect(outcomes(evaluation)).toEqual(outcomes(expected));
    expect(evaluation.figures.map(({ key }) => key)).toEqual(expected.figures.map(({ key }) => key));
    evaluation.figures.forEach(({ key, value, uncertainty }, i) => {
      const same = expected.figures[i];
      // Instants since 1970 hold a quarter of a microsecond, and cells six decimals.
      expect([key, Math.abs(value / (same?.value as number) - 1) < 2e-5]).toEqual([key, true]);
      expect([key, Math.abs(uncertainty / (same?.uncertainty as number) - 1) < 0.01]).toEqual([key, true]);
    });
  });
});

describe("a log that cannot be read is refused, and its tester told what to mend", () => {
  const folder = join(import.meta.dirname, "../../test/corpus/not-ok");
  const refusals: Record<string, { code: string; says: string }> = JSON.parse(
    readFileSync(join(folder, "refusals.json"), "utf8"),
  );

  test("every file of the corpus has its refusal", () => {
    const files = readdirSync(folder).filter((name) => name !== "refusals.json");
    expect(files.sort()).toEqual(Object.keys(refusals).sort());
  });

  test.each(Object.entries(refusals))("%s", async (name, { code, says }) => {
    const read = evaluateText(readFileSync(join(folder, name)));
    await expect(read).rejects.toMatchObject({ name: "LogError", code, message: expect.stringContaining(says) });
  });

  test("a log past the row limit is refused as too large", async () => {
    const log = `Time [s],Voltage [V],Current [A]\n${"1,2,3\n".repeat(1_000_001)}`;
    await expect(evaluateText(log)).rejects.toMatchObject({ code: "log-too-large" });
  });

  test("every code that a log can be refused with is shown", () => {
    const shown = new Set(["log-too-large", ...Object.values(refusals).map(({ code }) => code)]);
    expect([...shown].sort()).toEqual([...LOG_ERROR_CODES].sort());
  });
});
