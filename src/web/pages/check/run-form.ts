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

/** Nothing is chosen for a person: a chemistry or a load that nobody stated would give a verdict of another run. */
const NOT_CHOSEN = "Choose\u2026";

interface NumberField {
  /** Where a run file has it, with points between members. */
  readonly name: string;
  readonly label: string;
  readonly unit?: string;
  readonly isNeeded?: boolean;
  readonly value?: number;
  readonly isInteger?: boolean;
}

/** What has to be known of a run to judge its log, by the names of a run file. The documents of the newest protocols come with it. */
export function runForm(protocols: readonly View<"ProtocolView">[]): Html {
  const documents = JSON.stringify(protocols.map(({ document }) => document));
  return html`<form id="run" aria-labelledby="run-title" data-protocols="${documents}" autocomplete="off" novalidate>
<h2 id="run-title">The run</h2>
<p>What the log cannot say. Fields marked * are needed for a verdict.</p>
<div id="drafts" hidden></div>
<div id="entered-before" hidden></div>
<div class="fields"><fieldset><legend>Test</legend>
${choice("protocol", "Protocol", Object.fromEntries(protocols.map(({ key, title }) => [key, title])))}
<label for="run-protocolVersion">Version of the protocol
<select id="run-protocolVersion" name="protocolVersion" data-kind="number" aria-describedby="run-protocolVersion-problem"><option value="">the newest</option></select><span class="problem" id="run-protocolVersion-problem"></span></label>
${[
  { name: "ambientC", label: "Ambient temperature", unit: "\u00b0C" },
  { name: "restMinutes", label: "Rest between charge and load", unit: "min" },
  { name: "cycles", label: "Age of the pack", unit: "full cycles", isInteger: true },
  { name: "setpointA", label: "Current setpoint", unit: "A" },
  { name: "stateOfChargePercent", label: "State of charge at the start, if not full", unit: "%" },
].map(number)}</fieldset>
<fieldset id="run-pack"><legend>Pack</legend>
${choice("pack.chemistry", "Chemistry", CHEMISTRIES)}
${number({ name: "pack.series", label: "Cells in series", unit: "S", isNeeded: true, isInteger: true })}
<div id="series-hint" class="hint" hidden></div>
${[
  { name: "pack.parallel", label: "Cells in parallel", unit: "P", isNeeded: true, isInteger: true, value: 1 },
  { name: "pack.ratedCapacityMah", label: "Rated capacity", unit: "mAh", isNeeded: true },
  { name: "pack.labelContinuousC", label: "Continuous rating on the label", unit: "C" },
  { name: "pack.labelBurstC", label: "Burst rating on the label", unit: "C" },
  { name: "pack.massGrams", label: "Mass with leads", unit: "g" },
].map(number)}</fieldset>
<fieldset id="run-bench"><legend>Bench</legend>
${choice("bench.load.kind", "Load", LOADS)}
${[
  { name: "bench.voltage.percent", label: "Voltage: accuracy of the reading", unit: "%", isNeeded: true },
  { name: "bench.voltage.offset", label: "Voltage: fixed part", unit: "V", isNeeded: true },
  { name: "bench.current.percent", label: "Current: accuracy of the reading", unit: "%", isNeeded: true },
  { name: "bench.current.offset", label: "Current: fixed part", unit: "A", isNeeded: true },
  { name: "bench.temperature.offset", label: "Temperature: accuracy", unit: "K" },
  { name: "bench.clockPercent", label: "Clock of the logger: accuracy", unit: "%" },
].map(number)}
${choice("bench.sense.point", "Voltage is sensed", SENSE_POINTS)}
${[
  { name: "bench.sense.resistanceMilliohm", label: "Past leads: resistance of both", unit: "m\u03a9" },
  { name: "bench.sense.gaugeAwg", label: "or their conductor size", unit: "AWG" },
  { name: "bench.sense.lengthMm", label: "and one-way length", unit: "mm" },
].map(number)}</fieldset></div>
<p id="run-kept" class="small"></p>
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
  return html`<label for="${id}">${label} *
<select id="${id}" name="${name}" required aria-describedby="${id}-problem"><option value="">${NOT_CHOSEN}</option>${Object.entries(
    options,
  ).map(
    ([value, text]) => html`<option value="${value}">${text}</option>`,
  )}</select><span class="problem" id="${id}-problem"></span></label>`;
}
