import { expect, test } from "@jest/globals";
import { loadEndOf, type ModelPack, pulledBy } from "../../../test/support/source-runs.js";
import type { Trace } from "../model.js";
import { type ModelFrame, type RunModel, refittedTo, runModelOf } from "./cell-source.js";

const PACK: ModelPack = {
  openCircuitVolts: (charge) => 16.8 - charge / 9000,
  resistance: { earlyOhm: 0.012, growthOhm: 0.002 },
};
const TRACE = pulledBy(0.36, PACK, 13.2);
const FRAME: ModelFrame = {
  loadEndS: loadEndOf(TRACE),
  loadCurrentA: 40,
  series: 4,
  chemistry: "lipo",
  restVolts: 16.8,
  reachedCutoff: false,
};

function fitted(model: RunModel | null): RunModel {
  if (!model) throw new Error("no model was found");
  return model;
}

test("a run whose voltages alone were moved is fitted to the same digits as one of which nothing is known", () => {
  const near = fitted(runModelOf(TRACE, FRAME));
  const moved: Trace = { ...TRACE, voltage: TRACE.voltage.map((volts) => volts * 1.0007) };
  const unknown: Trace = { ...moved, time: moved.time.slice(), current: moved.current.slice() };
  const frame = { ...FRAME, restVolts: 16.81 };
  const [shared, alone] = [moved, unknown].map((trace) => fitted(refittedTo(trace, frame, near)));
  expect(shared?.run.charge).toBe(near.run.charge);
  expect({ ...shared, trace: null }).toEqual({ ...alone, trace: null });
  expect(shared?.fitted.unknowns).not.toEqual(near.fitted.unknowns);
});
