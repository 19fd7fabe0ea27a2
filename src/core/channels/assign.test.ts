import { describe, expect, test } from "@jest/globals";
import type { ColumnMap } from "../model.js";
import { recordsOf } from "../table/layout/head-records.js";
import { findLayout } from "../table/layout/layout.js";
import { LogError } from "../table/log-error.js";
import { assignColumns } from "./assign.js";

/** The channel, and the unit of each column, for a log with these headers between semicolons. */
function channelsOf(headers: string, map?: ColumnMap, firstCells?: string): Record<string, string> {
  const width = headers.split("\n")[0]?.split(";").length ?? 0;
  const row = firstCells ?? Array.from({ length: width }, (_, i) => `${i}.5`).join(";");
  const layout = findLayout(recordsOf(Buffer.from(`${headers}\n${`${row}\n`.repeat(5)}`)));
  const { readings } = assignColumns(layout, map);
  return Object.fromEntries(
    readings.filter(({ channel }) => channel).map(({ header, channel, unit }) => [header, `${channel} ${unit}`]),
  );
}

function refusal(headers: string, map?: ColumnMap): LogError {
  try {
    channelsOf(headers, map);
  } catch (error) {
    if (error instanceof LogError) return error;
    throw error;
  }
  throw new Error("it was read");
}

const NEEDED = { "t [s]": "time s", "U [V]": "voltage V", "I [A]": "current A" };

describe("columns are recognised by their headers", () => {
  test.each([
    ["English", "Time [s];Voltage [V];Current [A];Temperature [degC];Power [W];Capacity [mAh]"],
    ["German", "Laufzeit [s];Spannung [V];Strom [A];Temperatur [°C];Leistung [W];Kapazität [mAh]"],
    ["French", "Durée [s];Tension [V];Intensité [A];Température [°C];Puissance [W];Capacité [mAh]"],
    ["Spanish", "Tiempo [s];Tensión [V];Corriente [A];Temperatura [°C];Potencia [W];Capacidad [mAh]"],
    ["Italian", "Tempo [s];Tensione [V];Corrente [A];Temperatura [°C];Potenza [W];Capacità [mAh]"],
    ["Dutch", "Tijd [s];Spanning [V];Stroom [A];Temperatuur [°C];Vermogen [W];Capaciteit [mAh]"],
    ["Polish", "Czas [s];Napięcie [V];Prąd [A];Temperatura [°C];Moc [W];Ładunek [mAh]"],
  ])("in %s", (_, headers) => {
    expect(Object.values(channelsOf(headers))).toEqual([
      "time s",
      "voltage V",
      "current A",
      "temperature degC",
      "power W",
      "charge mAh",
    ]);
  });

  test("or by their units alone, where their headers say nothing else", () => {
    expect(Object.values(channelsOf("ms;mV;[mA]"))).toEqual(["time ms", "voltage mV", "current mA"]);
  });

  test("or by a units row", () => {
    expect(Object.values(channelsOf("t;U;I\nms;mV;A"))).toEqual(["time ms", "voltage mV", "current A"]);
  });

  test.each([
    ["clock", "09:12:00.5"],
    ["iso", "2026-05-02T09:12:00.5Z"],
  ])("and a time that is a %s needs no unit", (kind, cell) => {
    expect(channelsOf("when;U [V];I [A]", undefined, `${cell};16.8;0.5`)).toMatchObject({ when: `time ${kind}` });
  });

  test("the one of the pack is taken where several are named alike", () => {
    expect(channelsOf("t [s];Pack voltage [V];Servo voltage [V];I [A]")).toMatchObject({
      "Pack voltage [V]": "voltage V",
    });
  });

  test("those that are not about the pack are left aside", () => {
    const headers =
      "t [s];U [V];I [A];Setpoint current [A];Ambient [degC];Receiver voltage [V];Motor temperature [degC]";
    expect(channelsOf(headers)).toEqual(NEEDED);
  });

  test("of several powers, which serve as a check alone, none is taken", () => {
    expect(channelsOf("t [s];U [V];I [A];Power in [W];Power out [W]")).toEqual(NEEDED);
  });

  test("every temperature probe on the pack is taken", () => {
    expect(channelsOf("t [s];U [V];I [A];Temp 1 [degC];Temp 2 [degF]")).toEqual({
      ...NEEDED,
      "Temp 1 [degC]": "temperature degC",
      "Temp 2 [degF]": "temperature degF",
    });
  });

  test("kelvin is a temperature only where the header says so", () => {
    expect(channelsOf("t [s];U [V];I [A];gain [K]")).toEqual(NEEDED);
    expect(channelsOf("t [s];U [V];I [A];temp [K]")).toMatchObject({ "temp [K]": "temperature K" });
  });

  test("numbered cell voltages are cells, and stand in for the pack's voltage", () => {
    expect(channelsOf("t [s];Cell 1 [V];Cell 2 [V];I [A]")).toMatchObject({
      "Cell 1 [V]": "cell V",
      "Cell 2 [V]": "cell V",
    });
    expect(channelsOf("t [s];U [V];U1 [V];U2 [V];I [A]")).toMatchObject({ "U [V]": "voltage V", "U2 [V]": "cell V" });
  });
});

test("a column without a word on its unit is taken, and the refusal kept for when its magnitude does not tell", () => {
  const { columns } = assignColumns(
    findLayout(recordsOf(Buffer.from(`t [s];Voltage;I [A]\n${"1.5;16.8;5\n".repeat(5)}`))),
  );
  const voltage = columns.find(({ channel }) => channel === "voltage");
  expect(voltage).toMatchObject({
    unit: null,
    unitMissing: { code: "log-unit-missing", places: [{ line: 1, column: 2 }] },
  });
  expect(voltage?.unitMissing?.message).toContain("V, dV, cV, mV");
  expect(voltage?.unitMissing?.proposal?.candidates[0]?.columns).toEqual({
    time: "t [s]",
    voltage: { name: "Voltage", unit: "V" },
    current: "I [A]",
  });
});

describe("statistics beside the readings", () => {
  test.each(["V min", "Voltage max [V]", "avg voltage [V]", "Spannung min (V)"])("yield to them: %s", (header) => {
    expect(channelsOf(`t [s];U [V];${header};I [A]`)).toEqual(NEEDED);
  });

  test("and a time in minutes stays one", () => {
    expect(channelsOf("t min;U [V];I [A]")).toMatchObject({ "t min": "time min" });
  });
});

describe("of several times", () => {
  const row = "2026-05-02T09:12:00.5Z;0.5;16.8;5";
  test("a counted one in a known unit goes before the time of day", () => {
    expect(channelsOf("Timestamp;Elapsed time [s];U [V];I [A]", undefined, row)).toEqual({
      "Elapsed time [s]": "time s",
      "U [V]": "voltage V",
      "I [A]": "current A",
    });
  });

  test("the time of day goes before a count of no known unit", () => {
    expect(channelsOf("Timestamp;Time;U [V];I [A]", undefined, row)).toMatchObject({ Timestamp: "time iso" });
  });

  test("two counted ones are refused", () => {
    expect(refusal("Test time [s];Elapsed time [s];U [V];I [A]").code).toBe("log-column-ambiguous");
  });

  test("a date goes with the clock beside it", () => {
    expect(channelsOf("Date;Time;U [V];I [A]", undefined, "02.05.2026;09:12:00.5;16.8;5")).toMatchObject({
      Date: "time date",
      Time: "time clock",
    });
  });
});

describe("a column map is obeyed", () => {
  test("by name, against the words in the headers", () => {
    const headers = "t [s];U [V];U sense [V];I [A]";
    expect(channelsOf(headers, { voltage: "U sense [V]" })).toMatchObject({ "U sense [V]": "voltage V" });
    expect(channelsOf(headers, { voltage: "U sense [V]" })).not.toHaveProperty(["U [V]"]);
  });

  test("with a unit of its own", () => {
    const map: ColumnMap = {
      time: { name: "a", unit: "ms" },
      voltage: { name: "b", unit: "mV" },
      current: { name: "c", unit: "A" },
    };
    expect(channelsOf("a;b;c", map)).toEqual({ a: "time ms", b: "voltage mV", c: "current A" });
  });

  test("also for the one temperature probe that counts", () => {
    const map: ColumnMap = { temperature: "Temp 2 [degC]" };
    const channels = channelsOf("t [s];U [V];I [A];Temp 1 [degC];Temp 2 [degC]", map);
    expect(channels).toEqual({ ...NEEDED, "Temp 2 [degC]": "temperature degC" });
  });

  test.each([
    ["log-column-missing", { voltage: "no such" }, /no such column.*"U \[V\]"/],
    ["log-column-ambiguous", { current: "I [A]" }, /several such columns/],
    ["log-unit-missing", { voltage: { name: "U [V]", unit: "A" } }, /"A", which is none of: V, dV, cV, mV/],
    ["log-unit-missing", { voltage: { name: "U [V]", unit: "bar" } }, /"bar", which is none of/],
  ] as const)("or refused: %s for %j", (code, map, says) => {
    const error = refusal("t [s];U [V];I [A];I [A]", map);
    expect([error.code, error.message]).toEqual([code, expect.stringMatching(says)]);
  });
});

describe("a log is refused", () => {
  test("for several equal candidates, and lists them with their places", () => {
    const error = refusal("t [s];U [V];I left [A];I right [A]");
    expect(error).toMatchObject({
      code: "log-column-ambiguous",
      places: [
        { line: 1, column: 3 },
        { line: 1, column: 4 },
      ],
    });
    expect(error.message).toContain('"I left [A]", "I right [A]"');
    expect(error.message).toContain('{"current": "I left [A]"}');
  });

  test("for a unit that is none here, and says which there are", () => {
    const error = refusal("t [s];Voltage [bar];I [A]", { voltage: "Voltage [bar]" });
    expect(error).toMatchObject({ code: "log-unit-missing", places: [{ line: 1, column: 2 }] });
    expect(error.message).toContain("V, dV, cV, mV");
  });

  test.each([
    ["time", "n [rpm];U [V];I [A]"],
    ["voltage", "t [s];n [rpm];I [A]"],
    ["current", "t [s];U [V];T [degC]"],
  ])("for a missing %s, and lists the columns there are", (channel, headers) => {
    const error = refusal(headers);
    expect(error.code).toBe("log-column-missing");
    expect(error.message).toContain(`The log has no column for the ${channel}.`);
    expect(error.message).toContain(JSON.stringify(headers.split(";")[0]));
  });
});
