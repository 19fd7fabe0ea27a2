import type { Plan } from "../../core/plan/planned-test.js";
import { CHECKLIST_STAGES } from "../../core/plan/planned-test.js";

const STEP_SENTENCES = {
  first: "first step of the ladder",
  higher: "every step so far passed",
  lower: "every step so far failed",
  between: "between a step that passed and one that failed",
  bracketed: "The ladder is done: the limit is known as closely as benches can tell.",
  "label-reached": "The ladder is done: a step passed at the maker's continuous current.",
  "no-lower": "No smaller current can be proposed.",
} as const;

/** A plan for people at a bench: cautions first, then what to set, then what to do. */
export function planReportOf(title: string, plan: Plan): string {
  const { loads, standardLoads, nextStep, stop, expected, cautions, checklist } = plan;
  const done = nextStep !== null && nextStep.currentA === null;
  return [
    title,
    ...section("cautions", cautions),
    ...section(
      nextStep && !done ? `load to set (${STEP_SENTENCES[nextStep.reason]}): one of` : "load to set: one of",
      done
        ? [STEP_SENTENCES[nextStep.reason]]
        : loads.map(
            ({ currentA, ohm, powerW, seconds }) =>
              `${digits(currentA)} A, ${digits(ohm)} ohm or ${digits(powerW)} W, for ${digits(seconds)} s`,
          ),
    ),
    ...section(
      "standard loads near it",
      standardLoads.map(
        ({ loadA, ohm, currentA }) => `${loadA} A: ${digits(ohm)} ohm draws some ${digits(currentA)} A`,
      ),
    ),
    ...section("stop", [
      ...(stop.cutoffVolts === null ? [] : [`voltage cut-out ${digits(stop.cutoffVolts)} V under load`]),
      `temperature cut-out ${nextStep ? stop.temperatureLimitC : stop.cutOutC} degC at most`,
    ]),
    ...section(
      "expected",
      expected
        ? [
            `${digits(expected.seconds)} s, ${digits(expected.capacityMah)} mAh, at most ${digits(expected.highestPowerW)} W`,
            `${digits(expected.loadHeatWh)} Wh of heat in the load, ${digits(expected.packHeatWh)} Wh in the pack: at most some ${digits(expected.temperatureRiseK)} K`,
          ]
        : [],
    ),
    ...CHECKLIST_STAGES.flatMap((stage) =>
      section(
        `${stage} the load`,
        checklist.filter((item) => item.stage === stage).map(({ text }) => `[ ] ${text}`),
      ),
    ),
  ].join("\n");
}

function section(title: string, lines: readonly string[]): string[] {
  return lines.length === 0 ? [] : [`  ${title}`, ...lines.map((line) => `    ${line}`)];
}

const digits = (value: number): string => String(Number(value.toPrecision(3)));
