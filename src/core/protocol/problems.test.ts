import { describe, expect, test } from "@jest/globals";
import { CURRENT_LADDER_1 } from "./documents/current-ladder-1.js";
import { FULL_LOAD_1 } from "./documents/full-load-1.js";
import { RATED_CAPACITY_1 } from "./documents/rated-capacity-1.js";
import { TWO_PULSE_1 } from "./documents/two-pulse-1.js";
import type { ProtocolDocument } from "./index.js";
import { protocolProblems } from "./problems.js";

/** The document with the member at a pointer replaced, or taken out when the value is undefined. */
function withMember(document: ProtocolDocument, pointer: string, value: unknown): unknown {
  const copy = JSON.parse(JSON.stringify(document));
  const path = pointer.split("/").slice(1);
  const last = path.pop() as string;
  const parent = path.reduce((node, name) => node[name], copy);
  if (value === undefined) delete parent[last];
  else parent[last] = value;
  return copy;
}

const indexOf = ({ rules }: ProtocolDocument, id: string) => rules.findIndex(({ rule }) => rule === id);
const setting = (document: ProtocolDocument, id: string) => `/rules/${indexOf(document, id)}`;

describe("what the schema says", () => {
  const gap = setting(FULL_LOAD_1, "largest-gap");
  const energy = setting(FULL_LOAD_1, "specific-energy-plausible");
  test.each([
    ["a key in capitals", FULL_LOAD_1, "/key", "Full", "/key"],
    ["version 0", FULL_LOAD_1, "/version", 0, "/version"],
    ["half a version", FULL_LOAD_1, "/version", 1.5, "/version"],
    ["no title", FULL_LOAD_1, "/title", undefined, "/title"],
    ["no cautions", FULL_LOAD_1, "/cautions", [], "/cautions"],
    ["a member of no meaning", FULL_LOAD_1, "/colour", "red", "/colour"],
    ["a chemistry too few", FULL_LOAD_1, "/cells/lihv", undefined, "/cells/lihv"],
    ["a chemistry too many", FULL_LOAD_1, "/cells/other", FULL_LOAD_1.cells.lipo, "/cells/other"],
    ["a voltage in words", FULL_LOAD_1, "/cells/lipo/full", "4.2", "/cells/lipo/full"],
    ["a load of no known kind", FULL_LOAD_1, "/load/kind", "pulse-train", "/load/kind"],
    ["a load without its translation", FULL_LOAD_1, "/load/translation", undefined, "/load/translation"],
    ["a load with another kind's member", RATED_CAPACITY_1, "/load/translation", {}, "/load/translation"],
    ["a ladder without a bound on days", CURRENT_LADDER_1, "/load/ladder/days", undefined, "/load/ladder/days"],
    ["a pulse without a length", TWO_PULSE_1, "/load/second/seconds", undefined, "/load/second/seconds"],
    ["a figure that does not exist", FULL_LOAD_1, "/figures/0", "power-11s", "/figures/0"],
    ["a rule that does not exist", FULL_LOAD_1, `${gap}/rule`, "smallest-gap", `${gap}/rule`],
    ["a rule without its limit", FULL_LOAD_1, `${gap}/limit/maximum`, undefined, `${gap}/limit/maximum`],
    ["a limit that the rule does not have", FULL_LOAD_1, `${gap}/limit/minimum`, 0, `${gap}/limit/minimum`],
    ["a limit in words", FULL_LOAD_1, `${gap}/limit/maximum`, "1 s", `${gap}/limit/maximum`],
    ["a chemistry without its limit", FULL_LOAD_1, `${energy}/limit/lihv`, undefined, `${energy}/limit/lihv`],
    ["a rule in another unit", FULL_LOAD_1, `${gap}/unit`, "ms", `${gap}/unit`],
    ["a severity of no meaning", FULL_LOAD_1, `${gap}/severity`, "fatal", `${gap}/severity`],
    ["a ranking in no direction", FULL_LOAD_1, "/ranked/0/better", "bigger", "/ranked/0/better"],
  ])("%s", (_, document, pointer, value, at) => {
    const problems = protocolProblems(withMember(document, pointer, value));
    expect(problems.map((problem) => problem.pointer)).toEqual([at]);
  });

  test.each([null, [], "full-load", 7, {}])("%j is no protocol", (document) => {
    expect(protocolProblems(document).length).toBeGreaterThan(0);
  });

  test("a name with a slash keeps its pointer (RFC 6901)", () => {
    expect(protocolProblems({ ...FULL_LOAD_1, "a/b~c": 1 })).toEqual([
      { pointer: "/a~1b~0c", message: "is not a member that belongs here" },
    ]);
  });
});

describe("what no schema can say", () => {
  const level = setting(FULL_LOAD_1, "standard-load");
  const share = FULL_LOAD_1.ranked.findIndex(({ figure }) => figure === "capacity-share");
  const zero = setting(FULL_LOAD_1, "current-zero");
  const start = setting(FULL_LOAD_1, "start-temperature");
  const steady = CURRENT_LADDER_1.rules[indexOf(CURRENT_LADDER_1, "load-steady")];
  const count = FULL_LOAD_1.rules.length;
  test.each([
    ["a cutoff above the nominal voltage", FULL_LOAD_1, "/cells/lipo/cutoff", 3.8, "/cells/lipo/cutoff"],
    ["a cutoff below all healthy cells", FULL_LOAD_1, "/cells/liion/cutoff", 1.5, "/cells/liion/lowest"],
    ["no cutoff where runs go on to one", FULL_LOAD_1, "/cells/lipo/cutoff", null, "/cells/lipo/cutoff"],
    ["a cutoff of two pulses", TWO_PULSE_1, "/cells/lipo/cutoff", 3.3, "/cells/lipo/cutoff"],
    ["a second pulse below the first", TWO_PULSE_1, "/load/second/rateIt", 0.2, "/load/second/rateIt"],
    [
      "a reach in which a run may have no standard load",
      FULL_LOAD_1,
      "/load/translation/highestRatio",
      1.1,
      "/load/translation",
    ],
    ["a level that is not the translation's", FULL_LOAD_1, `${level}/limit/minimum`, 0.6, `${level}/limit`],
    [
      "a zero that is not the one subtracted",
      FULL_LOAD_1,
      `${zero}/limit/maximumPercent`,
      3,
      `${zero}/limit/maximumPercent`,
    ],
    ["limits the wrong way round", FULL_LOAD_1, `${start}/limit/minimum`, 40, `${start}/limit/minimum`],
    ["a rule set twice", FULL_LOAD_1, `/rules/${count}`, FULL_LOAD_1.rules[0], `/rules/${count}/rule`],
    ["a rule of another load", FULL_LOAD_1, `/rules/${count}`, steady, `/rules/${count}/rule`],
    ["a ranked figure that runs do not give", FULL_LOAD_1, "/ranked/0/figure", "current-mean", "/ranked/0/figure"],
    ["a ladder's figure without a ladder", FULL_LOAD_1, "/ranked/0/figure", "verified-c", "/ranked/0/figure"],
    [
      "a translated ranking of a load that is not",
      RATED_CAPACITY_1,
      "/ranked/0/basis",
      "translated",
      "/ranked/0/basis",
    ],
    [
      "a translated ranking by the label",
      FULL_LOAD_1,
      `/ranked/${share}/basis`,
      "translated",
      `/ranked/${share}/basis`,
    ],
    ["a figure ranked twice", FULL_LOAD_1, "/ranked/1/figure", "power-peak", "/ranked/1/figure"],
  ])("%s", (_, document, pointer, value, at) => {
    expect(protocolProblems(withMember(document, pointer, value)).map((problem) => problem.pointer)).toContain(at);
  });

  test("a full load must set the rule on its translation", () => {
    const rules = FULL_LOAD_1.rules.filter(({ rule }) => rule !== "standard-load");
    expect(protocolProblems({ ...FULL_LOAD_1, rules }).map(({ pointer }) => pointer)).toEqual(["/rules"]);
  });
});
