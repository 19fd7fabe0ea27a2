import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "@jest/globals";
import type { FindingColumns } from "../../../core/protocol/stored-findings.js";
import { projectRoot } from "../../config/project-root.js";
import { SEARCHED_RULES, storedFindings, withOthers } from "./finding-rows.js";

const finding = (position: number, rule: string, outcome: string): FindingColumns & { evaluationId: string } => ({
  evaluationId: "one",
  position,
  rule,
  severity: "advised",
  outcome,
  observed: position / 3,
  limit: "<= 1",
  unit: "V",
  message: `${rule}.`,
  spanFromS: null,
  spanToS: null,
});
const ALL = [
  finding(0, "sampling-rate", "pass"),
  finding(1, "spikes", "fail"),
  finding(2, "temperature-limit", "pass"),
  finding(3, "charge-agrees", "not-assessable"),
];

describe("stored findings", () => {
  it("have a row where they failed or a query looks for their rule, and are whole with the others", () => {
    const { rows, others } = storedFindings(ALL);
    expect(rows.map(({ rule }) => rule)).toEqual(["spikes", "temperature-limit"]);
    expect(withOthers("one", rows, others)).toEqual(ALL);
    expect(withOthers("one", rows.toReversed(), others)).toEqual(ALL);
  });

  it("of an evaluation that has a row for each of them are those rows", () => {
    expect(withOthers("one", ALL, null)).toEqual(ALL);
  });

  it("have a row for every rule that a query names", () => {
    const named = readdirSync(join(projectRoot, "src", "features"), { recursive: true, encoding: "utf8" })
      .filter((path) => path.endsWith(".ts") && !path.endsWith(".test.ts"))
      .flatMap((path) => {
        const text = readFileSync(join(projectRoot, "src", "features", path), "utf8");
        const inSql = [...text.matchAll(/finding\.rule = '([a-z-]+)'/g)].map(([, rule]) => rule);
        const asked = /observed FROM finding/.test(text) ? [...text.matchAll(/observed\("([a-z-]+)"\)/g)] : [];
        return [...inSql, ...asked.map(([, rule]) => rule)];
      });
    expect(new Set(named)).toEqual(new Set(SEARCHED_RULES));
  });
});
