import type { StopReason } from "../../../core/model.js";
import type { LineChart } from "../../../core/pictures/picture.js";
import { nameWithin } from "../../../core/pictures/svg.js";
import type { Source } from "../../../platform/http/requests/forms.js";
import type { FindingView } from "../evaluation/evaluation.views.js";
import type { RunView } from "../runs.views.js";
import type { DrawnTrace } from "../trace/traces.service.js";
import { figureLine } from "./run-tables.js";

const PANELS = [
  { channel: "voltage", quantity: { name: "Voltage", unit: "V" } },
  { channel: "current", quantity: { name: "Current", unit: "A" } },
  { channel: "power", quantity: { name: "Power", unit: "W" } },
  { channel: "temperature", quantity: { name: "Temperature", unit: "°C" }, minSpan: 5 },
] as const;

/** What ended a load before the cutoff, as it stands at its mark. */
const ENDS: Readonly<Partial<Record<StopReason, string>>> = {
  "temperature-limit": "temperature limit",
  "load-lost": "load lost",
  operator: "end of load",
};
/** Figures that the subtitle names where the run has them. */
const NAMED = ["power-peak", "power-10s", "capacity", "resistance-two-pulse"] as const;

/** Where figures are read, s from the onset of load, by the figure that tells of it. */
const MARKS = { "power-10s": 10, "power-30s": 30 } as const;

/** The trace of a run with onset, peak, marks, the end of the load, and the parts that failed rules looked at. */
export function runChart(run: RunView, drawn: DrawnTrace | null, { address, date }: Source): LineChart {
  const { pack, tester, protocol, conformance } = run;
  const valuesOf = (name: string) => drawn?.trace.channels.find(({ channel }) => channel === name)?.values ?? [];
  const time = valuesOf("time");
  const shown = PANELS.filter(({ channel }) => valuesOf(channel).length > 0);
  const failed = (conformance?.findings ?? []).filter(({ outcome }) => outcome === "fail");
  const spans = failed.flatMap(({ span }, i) => (span ? [{ from: span.fromS, to: span.toS, tag: String(i + 1) }] : []));
  const figures = NAMED.flatMap((key) => figureLine(run, key) ?? []);
  return {
    kind: "lines",
    caption: {
      title: `${nameWithin(`${pack.maker} ${pack.name}`)}, tested by ${nameWithin(tester.handle)}`,
      subtitle: [`${protocol.key}, version ${protocol.version}`, verdictText(run), ...figures].join(" · "),
      description: `Trace of a run from ${Math.round(time[0] ?? 0)} s to ${Math.round(time.at(-1) ?? 0)} s.`,
      notes: failed.map((finding, i) => findingText(finding, i)),
      source: address,
      date,
    },
    across: { name: "Time from the onset of load", unit: "s" },
    legend: [],
    panels: (shown.length > 0 ? shown : PANELS.slice(0, 1)).map(({ channel, ...panel }) => {
      const values = valuesOf(channel);
      const points = time.flatMap((x, i) => (values[i] === undefined ? [] : [{ x, y: values[i] }]));
      return { ...panel, series: [{ index: 0, kind: "line", points }] };
    }),
    instants: drawn ? instantsOf(run, drawn.peakS) : [],
    spans,
  };
}

function instantsOf({ figures, trace }: RunView, peakS: number | null): { value: number; name: string }[] {
  const has = (key: string) => figures.some((figure) => figure.key === key && figure.load === null);
  const peak = peakS !== null && has("power-peak") ? [{ value: peakS, name: "peak" }] : [];
  const marks = Object.entries(MARKS)
    .filter(([key]) => has(key))
    .map(([, value]) => ({ value, name: `${value} s` }));
  return [{ value: 0, name: "onset" }, ...peak, ...marks, ...endOf(trace)];
}

function endOf(trace: RunView["trace"]): { value: number; name: string }[] {
  if (!trace) return [];
  if (trace.cutoffS !== null) return [{ value: trace.cutoffS, name: "cutoff" }];
  const name = ENDS[trace.stop];
  return name === undefined ? [] : [{ value: trace.durationS, name }];
}

function verdictText({ conformance, state }: RunView): string {
  if (!conformance) return state;
  return conformance.verdict === "conforming-adjusted" ? "conforming after adjustment" : conformance.verdict;
}

const findingText = ({ rule, severity, message }: FindingView, i: number): string =>
  `${i + 1}: ${rule} (${severity}). ${message}`;
