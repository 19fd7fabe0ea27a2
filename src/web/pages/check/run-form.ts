import type { View } from "../../api/public-api.js";
import { type Html, html } from "../../html/html.js";
import { CHEMISTRIES } from "../../html/words.js";

const LOADS = {
  "constant-current": "Constant current",
  throttle: "Motor or other load that follows a throttle",
  "constant-resistance": "Constant resistance",
  "constant-power": "Constant power",
} as const;
const SENSE_POINTS = { pack: "At the pack's own terminals", lead: "Past leads or a connector" } as const;

interface NumberField {
  /** Where a run file has it, with points between members. */
  readonly name: string;
  readonly label: string;
  readonly unit?: string;
  readonly isNeeded?: boolean;
  readonly value?: number;
  readonly isInteger?: boolean;
}

/** What has to be known of a run to judge its log, by the names of a run file. */
export function runForm(protocols: readonly View<"ProtocolView">[]): Html {
  return html`<form id="run" aria-labelledby="run-title" novalidate>
<h2 id="run-title">The run</h2>
<p>What the log cannot say. Fields marked * are needed for a verdict. What you enter is kept in this browser for the next log.</p>
<div class="fields"><fieldset><legend>Test</legend>
${choice("protocol", "Protocol", Object.fromEntries(protocols.map(({ key, title }) => [key, title])))}
${[
  { name: "ambientC", label: "Surroundings", unit: "\u00b0C" },
  { name: "restMinutes", label: "Rest between charge and load", unit: "min" },
  { name: "cycles", label: "Age of the pack", unit: "full cycles", isInteger: true },
  { name: "setpointA", label: "Set current", unit: "A" },
  { name: "stateOfChargePercent", label: "Charge at the start, if not full", unit: "%" },
].map(number)}</fieldset>
<fieldset><legend>Pack</legend>
${choice("pack.chemistry", "Chemistry", CHEMISTRIES)}
${[
  { name: "pack.series", label: "Cells in series", unit: "S", isNeeded: true, isInteger: true },
  { name: "pack.parallel", label: "Strings in parallel", unit: "P", isNeeded: true, isInteger: true, value: 1 },
  { name: "pack.ratedCapacityMah", label: "Rated capacity", unit: "mAh", isNeeded: true },
  { name: "pack.labelContinuousC", label: "Continuous rating on the label", unit: "C" },
  { name: "pack.labelBurstC", label: "Burst rating on the label", unit: "C" },
  { name: "pack.massGrams", label: "Mass with leads", unit: "g" },
].map(number)}</fieldset>
<fieldset><legend>Bench</legend>
${choice("bench.load.kind", "Load", LOADS)}
${[
  { name: "bench.voltage.percent", label: "Voltage: accuracy of the reading", unit: "%", isNeeded: true },
  { name: "bench.voltage.offset", label: "Voltage: fixed part", unit: "V", isNeeded: true },
  { name: "bench.current.percent", label: "Current: accuracy of the reading", unit: "%", isNeeded: true },
  { name: "bench.current.offset", label: "Current: fixed part", unit: "A", isNeeded: true },
  { name: "bench.temperature.offset", label: "Temperature: accuracy", unit: "K" },
].map(number)}
${choice("bench.sense.point", "Voltage is sensed", SENSE_POINTS)}
${number({ name: "bench.sense.resistanceMilliohm", label: "Resistance of both leads, if past them", unit: "m\u03a9" })}</fieldset></div>
<p id="run-status" role="status"></p>
</form>`;
}

const idOf = (name: string): string => `run-${name.replaceAll(".", "-")}`;

function number({ name, label, unit, isNeeded, value, isInteger }: NumberField): Html {
  const id = idOf(name);
  return html`<label for="${id}">${label}${unit && `, ${unit}`}${isNeeded && " *"}
<input id="${id}" name="${name}" data-kind="number" type="number" inputmode="decimal" step="${isInteger ? "1" : "any"}"${
    isNeeded && html` required`
  }${value !== undefined && html` value="${value}"`} aria-describedby="${id}-problem"><span class="problem" id="${id}-problem"></span></label>`;
}

function choice(name: string, label: string, options: Readonly<Record<string, string>>): Html {
  const id = idOf(name);
  return html`<label for="${id}">${label}
<select id="${id}" name="${name}" aria-describedby="${id}-problem">${Object.entries(options).map(
    ([value, text]) => html`<option value="${value}">${text}</option>`,
  )}</select><span class="problem" id="${id}-problem"></span></label>`;
}
