import type { LineChart, Panel, Point, Quantity } from "../../../core/pictures/picture.js";
import { nameWithin } from "../../../core/pictures/svg.js";
import { durationOf, type UseStep } from "../../../core/use/use.js";
import type { Source } from "../../../platform/http/requests/forms.js";
import type { PredictionPointView } from "../predictions.views.js";
import {
  durationText,
  type NamedPrediction,
  type NamedPredictions,
  stepsText,
  verdictText,
  WHOSE,
} from "./prediction-words.js";

type Value = (point: PredictionPointView) => readonly [value: number | null, uncertainty: number | null];

interface Drawn {
  readonly quantity: Quantity;
  readonly of: Value;
}

const VOLTAGE: Drawn = { quantity: { name: "Voltage", unit: "V" }, of: (p) => [p.voltageV, p.voltageUncertainty] };
const POWER: Drawn = { quantity: { name: "Power", unit: "W" }, of: (p) => [p.powerW, p.powerUncertainty] };
const CURRENT: Drawn = { quantity: { name: "Current", unit: "A" }, of: (p) => [p.currentA, p.currentUncertainty] };
const TEMPERATURE: Drawn = {
  quantity: { name: "Temperature of the skin", unit: "°C" },
  of: (p) => [p.temperatureC, p.temperatureUncertainty],
};

/** Half-widths are U = 2 u. */
const COVERAGE = 2;

/** Packs along a use with bands of U, their cutoffs and the limit of their temperature, and where each of them fails. */
export function predictionChart({ use, items }: NamedPredictions, { address, date }: Source): LineChart {
  const names = items.map(({ name }) => nameWithin(name));
  const drawn = items.flatMap((item, index) => (item.curve.length > 0 ? [{ item, index, name: names[index] }] : []));
  const panelOf = ({ quantity, of }: Drawn, levels: Panel["levels"] = []): Panel => ({
    quantity,
    levels,
    series: drawn.map(({ item, index }) => ({ index, kind: "line", points: pointsOf(item.curve, of) })),
  });
  const hasProbe = drawn.some(({ item }) => item.curve.some(({ temperatureC }) => temperatureC !== null));
  const limit = { value: use.temperatureLimitC, name: `limit, ${use.temperatureLimitC} °C` };
  return {
    kind: "lines",
    caption: {
      title: `${items.length > 2 ? `${items.length} packs` : names.join(" and ")} under a use of ${durationText(durationOf(use))}`,
      subtitle: `${stepsText(use)}; ${Math.round(100 * use.reserve)} % in reserve, from ${use.startC} °C. ${WHOSE[items[0]?.of ?? "mean"]}. Bands: U\u00a0=\u00a02\u00a0u. In brackets: how probable that is.`,
      description: items.map((item, i) => `${names[i]}: ${verdictText(item)}.`).join(" "),
      notes: notesOf(items, names),
      source: address,
      date,
    },
    across: { name: "Time from the start of the use", unit: "s" },
    legend: drawn.map(({ item, index, name }) => ({ index, kind: "line", name: `${name}: ${verdictText(item)}` })),
    panels: [
      panelOf(VOLTAGE, cutoffsOf(drawn.map(({ item }) => item))),
      panelOf(isSet(use.steps, "powerW") ? CURRENT : POWER),
      ...(hasProbe ? [panelOf(TEMPERATURE, [limit])] : []),
    ],
    instants: drawn.flatMap(({ item: { limit: met }, name }) =>
      met ? [{ value: met.at.value, name: `${name}: ${met.reason}` }] : [],
    ),
  };
}

const isSet = (steps: readonly UseStep[], demand: "powerW"): boolean =>
  steps.every((step) => step[demand] != null || step.currentA === 0);

function pointsOf(curve: readonly PredictionPointView[], of: Value): Point[] {
  return curve.flatMap((point) => {
    const [y, uncertainty] = of(point);
    return y === null ? [] : [{ x: point.timeS, y, yHalf: COVERAGE * (uncertainty ?? 0) }];
  });
}

/** The voltage at which each pack is empty; one line where it is the same for several. */
function cutoffsOf(items: readonly NamedPrediction[]): NonNullable<Panel["levels"]> {
  const volts = [...new Set(items.map(({ cutoffVolts }) => cutoffVolts))];
  return volts.map((value) => ({ value, name: `cutoff, ${Number(value.toFixed(2))} V` }));
}

function notesOf(items: readonly NamedPrediction[], names: readonly string[]): string[] {
  const cautions = [...new Set(items.flatMap((item) => item.cautions))];
  const needed = items.flatMap((item, i) =>
    item.needed.length === 0
      ? []
      : [`To say more of ${names[i]}: ${item.needed.map(({ message }) => message).join("; ")}.`],
  );
  return [...cautions, ...needed];
}
