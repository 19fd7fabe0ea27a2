import { describe, expect, it } from "@jest/globals";
import {
  type Alteration,
  averaged,
  decimate,
  scaled,
  shifted,
  together,
  trimmed,
} from "../../../test/support/copies/alterations.js";
import { honestTrace } from "../../../test/support/copies/honest-traces.js";
import { loggedTwice, slowTrace, steadyTrace } from "../../../test/support/copies/steady-traces.js";
import { evaluateTrace } from "../../../test/support/evaluated.js";
import type { Trace } from "../model.js";
import { copyEvidence } from "./evidence.js";
import { hashesToIndex, hashesToQuery } from "./hashes.js";
import { sharedLags } from "./shared-lags.js";

/** The channels by which a search with one trace would find the other. */
const foundBy = (indexed: Trace, query: Trace): string[] =>
  copyEvidence(indexed, query, sharedLags(hashesToIndex(indexed), hashesToQuery(query)))
    .map(({ channel }) => channel)
    .sort();

const ladderStep = (seed: number, rateHz: number) =>
  steadyTrace({
    seed,
    amperes: 15,
    seconds: 1200,
    rateHz,
    noise: { volts: 0.002, amperes: 0.02 },
    digits: { volts: 0.001, amperes: 0.01 },
  });

const BOTH = ["current", "voltage"];
const SCALED: Alteration = together(scaled(1.02, 0.97), shifted(7));

describe("a constant-current step", () => {
  it.each<[string, number, Alteration]>([
    ["scaled and shifted", 1, SCALED],
    ["its middle alone", 1, trimmed(0.2, 0.8)],
    ["every second sample", 10, decimate(2)],
    ["every tenth sample", 10, decimate(10)],
    ["averaged to 1 Hz", 10, averaged(1)],
  ])("is found again: %s of %d Hz", (_, rateHz, alter) => {
    expect(foundBy(ladderStep(3, rateHz), alter(ladderStep(3, rateHz), 1))).toEqual(BOTH);
  });

  it.each([1, 10])("is not another step at the same current straight after it, at %d Hz", (rateHz) => {
    expect(foundBy(ladderStep(1, rateHz), ladderStep(2, rateHz))).toEqual([]);
  });
});

describe("a rated-capacity run of five hours", () => {
  it.each<[string, number, Alteration]>([
    ["scaled and shifted", 0.2, SCALED],
    ["averaged to 0.3 Hz", 1, averaged(0.3)],
    ["every second sample", 0.5, decimate(2)],
  ])("is found again: %s of %d Hz", (_, rateHz, alter) => {
    expect(foundBy(slowTrace(3, rateHz), alter(slowTrace(3, rateHz), 1))).toEqual(BOTH);
  });

  it("is not another one of the same specimen", () => {
    expect(foundBy(slowTrace(1, 0.2), slowTrace(2, 0.2))).toEqual([]);
  });
});

it("a two-pulse run at 20 Hz is found again", () => {
  const noise = { volts: 0.001, amperes: 0.005 };
  const digits = { volts: 0.0005, amperes: 0.001 };
  const steady = steadyTrace({ seed: 1, amperes: 1, seconds: 11, rateHz: 20, noise, digits });
  const current = steady.current.map((one, i) => ((steady.time[i] as number) > 10 ? 5 * one : one));
  expect(foundBy({ ...steady, current }, SCALED({ ...steady, current }, 1))).toContain("voltage");
});

describe("two loggers on one discharge", () => {
  const discharge = honestTrace({ pack: 1, specimen: 2, run: 0 });

  it("are one measurement where the load's own unrest is more than their noise", () => {
    expect(foundBy(...loggedTwice(discharge, 5, { volts: 0.001, amperes: 0.02 }))).toEqual(BOTH);
  });

  it("are not told from two discharges where their noise is more", () => {
    expect(foundBy(...loggedTwice(discharge, 5, { volts: 0.02, amperes: 0.5 }))).toEqual([]);
  });
});

it("a copy decimate below the protocol's rate, which may not be found, is refused for its rate", async () => {
  const noise = { volts: 0.003, amperes: 0.1 };
  const digits = { volts: 0.001, amperes: 0.01 };
  const original = steadyTrace({ seed: 1, amperes: 95, seconds: 90, rateHz: 5, noise, digits });
  const { verdict, findings } = await evaluateTrace(decimate(2)(original, 0));
  expect(findings).toContainEqual(
    expect.objectContaining({ rule: "sampling-rate", severity: "required", outcome: "fail" }),
  );
  expect(verdict).toBe("nonconforming");
});
