import { describe, expect, test } from "@jest/globals";
import type { ColumnMap } from "../model.js";
import { recordsOf } from "../table/layout/head-records.js";
import { findLayout } from "../table/layout/layout.js";
import { type ColumnProposal, LogError } from "../table/log-error.js";
import { assignColumns } from "./assign.js";

const layoutOf = (headers: string, cell = "1.5") =>
  findLayout(recordsOf(Buffer.from(`${headers}\n${`${headers.replaceAll(/[^;]+/g, cell)}\n`.repeat(5)}`)));

function refusalOf(headers: string, map?: ColumnMap): LogError & { proposal: ColumnProposal } {
  try {
    assignColumns(layoutOf(headers), map);
  } catch (error) {
    if (error instanceof LogError && error.proposal) return error as LogError & { proposal: ColumnProposal };
    throw error;
  }
  throw new Error("it was read");
}

describe("a log whose columns are open comes back with maps to send", () => {
  test("for several equal candidates, one map each with all that is settled", () => {
    const { code, proposal } = refusalOf("t [s];U [V];I left [A];I right [A];Temp [degC];Cap [mAh]");
    const settled = { time: "t [s]", voltage: "U [V]", temperature: "Temp [degC]", charge: "Cap [mAh]" };
    expect(code).toBe("log-column-ambiguous");
    expect(proposal).toEqual({
      columns: settled,
      candidates: [
        { channel: "current", columns: { ...settled, current: "I left [A]" } },
        { channel: "current", columns: { ...settled, current: "I right [A]" } },
      ],
    });
  });

  test("for an unknown unit, one map for each unit there is", () => {
    const { code, proposal } = refusalOf("t [s];Voltage [bar];I [A]", { voltage: "Voltage [bar]" });
    const settled = { time: "t [s]", current: "I [A]" };
    expect(code).toBe("log-unit-missing");
    expect(proposal.candidates.map(({ columns }) => columns)).toEqual([
      { ...settled, voltage: { name: "Voltage [bar]", unit: "V" } },
      { ...settled, voltage: { name: "Voltage [bar]", unit: "mV" } },
    ]);
  });

  test("for a missing channel, one map for each column and unit that it could be", () => {
    const { code, proposal } = refusalOf("t [s];U [V];x;I set [A]");
    const settled = { time: "t [s]", voltage: "U [V]" };
    expect(code).toBe("log-column-missing");
    expect(proposal.candidates.map(({ columns }) => columns)).toEqual([
      { ...settled, current: { name: "x", unit: "A" } },
      { ...settled, current: { name: "x", unit: "mA" } },
      { ...settled, current: "I set [A]" },
    ]);
  });

  test("for a map that names no column, with the column that the header names", () => {
    const { code, proposal } = refusalOf("t [s];U [V];I [A]", { current: "Amperage" });
    expect(code).toBe("log-column-missing");
    expect(proposal.candidates).toEqual([
      { channel: "current", columns: { time: "t [s]", voltage: "U [V]", current: "I [A]" } },
    ]);
  });

  test("and every one of them, sent as it is, settles the channel", () => {
    const logs = ["t [s];U [V];I left [A];I right [A]", "t [s];U [V];x;I set [A]", "when [s];U near;U far;I [A]"];
    for (const headers of logs) {
      const { candidates } = refusalOf(headers).proposal;
      expect(candidates).not.toEqual([]);
      for (const { channel, columns } of candidates) {
        const { readings } = assignColumns(layoutOf(headers), columns);
        expect(readings.filter((reading) => reading.channel === channel)).toHaveLength(1);
      }
    }
  });

  test("by their numbers for columns that share their header", () => {
    expect(refusalOf("t [s];U [V];I [A];I [A]").proposal.candidates.map(({ columns }) => columns.current)).toEqual([
      { column: 3 },
      { column: 4 },
    ]);
  });

  test("and leaves out several temperature probes, of which a map would drop all but one", () => {
    const { columns } = refusalOf("t [s];U [V];T1 [degC];T2 [degC];x").proposal;
    expect(columns).toEqual({ time: "t [s]", voltage: "U [V]" });
  });
});
