import { ruleCases } from "../../../../test/support/rule-cases.js";
import { type RunChanges, runUnderTest } from "../../../../test/support/run-under-test.js";
import type { LoadKind } from "../../model.js";

// Rest 16.8 V, 14.5 V at 10 s under 100 A. As a throttle would, the current follows the voltage, which falls by 10 % in 100 s.
const { trace } = runUnderTest().run;
const amperes = trace.voltage.map((volts, i) => ((trace.time[i] as number) < 0 ? 0 : 100 * (volts / 14.5)));

/** The current stays for a while on one number, while the voltage goes on falling. */
function currentHeld(seconds: number, kind: LoadKind = "throttle"): RunChanges {
  const from = trace.time.findIndex((t) => t >= 20);
  const to = from + Math.round(10 * seconds);
  const current = amperes.map((amps, i) => (i >= from && i <= to ? (amperes[from] as number) : amps));
  return { bench: { load: { kind } }, run: { trace: { ...trace, current } } };
}

/** The voltage stays for a while on one number, while the throttle goes from full to half. */
function voltageHeld(seconds: number): RunChanges {
  const from = trace.time.findIndex((t) => t >= 20);
  const to = from + Math.round(10 * seconds);
  const held = (i: number) => i >= from && i <= to;
  const voltage = trace.voltage.map((volts, i) => (held(i) ? (trace.voltage[from] as number) : volts));
  const current = amperes.map((amps, i) => (held(i) && i > from + 5 ? amps / 2 : amps));
  return { run: { trace: { ...trace, voltage, current } } };
}

ruleCases("sensor-stuck", {
  passing: {
    "channels that follow each other": { run: { trace: { ...trace, current: amperes } } },
    "a current that the load holds": currentHeld(60, "constant-current"),
    "a current that stays while the voltage hardly moves": currentHeld(15),
    "a current that stays within what its instrument is stated to read": {
      ...currentHeld(60),
      bench: { load: { kind: "throttle" }, current: { percent: 3, offset: 2 } },
    },
  },
  failing: { "a current sensor at the end of its range": currentHeld(60), "a frozen voltage": voltageHeld(20) },
  boundary: { "5 s": [voltageHeld(5), voltageHeld(5.1)] },
  notAssessable: { "a log that begins under load": { run: { rest: null } } },
});
