import type { ProtocolDocument } from "../protocol/document.js";
import type { Window } from "./demands.js";
import type { ChecklistItem, Plan } from "./planned-test.js";

type Planned = Omit<Plan, "checklist">;

/** What to do at the bench, in its order, with the plan's own numbers. */
export function checklistOf(plan: Planned, protocol: ProtocolDocument): ChecklistItem[] {
  return [
    ...before(plan, protocol).map((text) => ({ stage: "before" as const, text })),
    ...during(plan).map((text) => ({ stage: "during" as const, text })),
    ...after(plan).map((text) => ({ stage: "after" as const, text })),
  ];
}

function before(
  { demands, stop, expected, labelContinuousA, labelBurstA }: Planned,
  protocol: ProtocolDocument,
): string[] {
  const { restMinutes, restVolts, chargePercent, packTemperatureC, ambientC } = demands;
  const highest = expected?.highestCurrentA ?? null;
  return [
    ...(labelContinuousA === null && labelBurstA !== null
      ? [`The label names ${number(labelBurstA)} A, and for bursts alone: the maker's continuous current is lower.`]
      : []),
    labelContinuousA === null
      ? "Look up the maker's highest continuous current, lowest voltage and highest temperature; stay within all of them."
      : `The label allows ${number(labelContinuousA)} A continuously. Look up the maker's lowest voltage and highest temperature too.`,
    "The pack is neither hot, swollen nor damaged; it lies on something that does not burn, outdoors or in a fire-safe place.",
    "You can stop the load at once without reaching over the pack, and you wear eye protection.",
    ...(expected
      ? [
          `Load and leads are rated for ${number(expected.highestCurrentA)} A and ${number(expected.highestPowerW)} W, and for ${number(expected.loadHeatWh)} Wh of heat.`,
        ]
      : []),
    ...(chargePercent
      ? [`The pack is at a known state of charge${inWindow(chargePercent, "%")}. Note it: the upload asks for it.`]
      : ["The pack is charged fully by the maker's method."]),
    ...(restMinutes ? [`It has rested${inWindow(restMinutes, "min")} since. Note for how long.`] : []),
    ...(restVolts ? [`Its rest voltage is${inWindow(restVolts, "V")}.`] : []),
    ...(packTemperatureC
      ? [`The pack is at${inWindow(packTemperatureC, "degC")}, and was not heated for the test.`]
      : []),
    ...(ambientC ? [`The surroundings are at${inWindow(ambientC, "degC")}. Note their temperature.`] : []),
    ...(demands.temperatureChannel === null
      ? []
      : [
          `The temperature probe is fixed to the middle of the pack's largest face, under a little foam${demands.temperatureChannel === "required" ? "; this protocol needs it" : ""}.`,
        ]),
    highest === null
      ? "Voltage is sensed at the pack's own terminals."
      : `Voltage is sensed at the pack's own terminals: at ${number(highest)} A each milliohm between them and the sensor takes ${number(highest / 1000)} V.`,
    ...(stop.cutoffVolts === null
      ? []
      : [
          `The voltage cut-out is set to ${number(stop.cutoffVolts)} V under load (${stop.cutoffVoltsPerCell} V per cell).`,
        ]),
    protocol.load.kind === "set-current"
      ? `The temperature cut-out is set to ${stop.temperatureLimitC} degC: it ends the step.`
      : `The temperature cut-out is set to the maker's limit, and to ${stop.cutOutC} degC at most; from ${stop.temperatureLimitC} degC on be ready to stop.`,
    ...(demands.rateHz === null
      ? []
      : [
          `The logger takes ${demands.rateHz} ${demands.rateHz === 1 ? "sample" : "samples"} a second or more of time, voltage and current${demands.temperatureChannel === null ? "" : ", and of the temperature"}.`,
        ]),
  ];
}

function during({ loads, demands, stop, expected }: Planned): string[] {
  const [first] = loads;
  if (!first) return [];
  return [
    "The log runs for at least 2 s before the load, 10 s where it takes a sample every few seconds.",
    ...loads.map(({ currentA, seconds }, i) =>
      stop.cutoffVolts === null
        ? `${i === 0 ? "Draw" : "Then at once draw"} ${number(currentA)} A for ${number(seconds)} s.`
        : `Draw ${number(currentA)} A until the cutoff: some ${number(seconds)} s.`,
    ),
    ...(demands.riseS === null ? [] : [`The load is fully on within ${demands.riseS} s.`]),
    ...(demands.steadyPercent === null ? [] : [`Hold the current within ${demands.steadyPercent} %.`]),
    ...(stop.cutoffVolts === null
      ? []
      : ["Keep the load on until the voltage has been below the cutoff for half a second."]),
    ...(expected && expected.temperatureRiseK > stop.temperatureLimitC - USUAL_ROOM_C
      ? [
          `Expect the pack to reach ${stop.temperatureLimitC} degC before the cutoff; a smaller load may be the better test.`,
        ]
      : []),
    "Stay with the test, away from the pack, and stop at once when anything looks, smells or sounds wrong.",
  ];
}

/** From which the warming of a pack is counted where nobody said how warm the room is, degC. */
const USUAL_ROOM_C = 25;

function after({ demands, nextStep }: Planned): string[] {
  return [
    ...(demands.recoveryS === null ? [] : [`The log runs on for ${Math.max(10, demands.recoveryS)} s without load.`]),
    "Let the pack cool where it lies; watch it until it is back at the temperature of the room.",
    "Upload the file as the logger wrote it, with the notes from above.",
    ...(nextStep ? ["Ask for the plan again: it goes on from the steps that are known."] : []),
  ];
}

/** Three digits: nobody sets a load closer. */
const number = (value: number): string => String(Number(value.toPrecision(3)));

function inWindow({ minimum, maximum }: Window, unit: string): string {
  const [low, high] = [minimum, maximum].map((one) => (one === null ? null : String(Number(one.toPrecision(4)))));
  if (low != null && high != null) return ` ${low} to ${high} ${unit}`;
  return low != null ? ` ${low} ${unit} or more` : ` ${high} ${unit} or less`;
}
