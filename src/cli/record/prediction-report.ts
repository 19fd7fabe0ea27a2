import { chargeLeftText } from "../../core/text/charge-left.js";
import type { PredictionView } from "../../features/use/predictions.views.js";
import { knownValue } from "../known-value.js";
import { textTable } from "../text-table.js";
import type { NamedPack } from "./pack-named.js";

const HEADER = ["pack", "holds it", "probability of holding it", "lasts [s]", "margin [V/cell]", "left", "ends by"];

/** Predictions for people: cautions first, then a row for each pack, then what would be needed to say more. */
export function predictionReportOf(packs: readonly NamedPack[], items: readonly PredictionView[]): string {
  const nameOf = (packId: string) => {
    const pack = packs.find(({ id }) => id === packId);
    return pack ? `${pack.maker} ${pack.name}` : packId;
  };
  const cautions = [...new Set(items.flatMap((item) => item.cautions))];
  const open = items.flatMap(({ packId, needed }) => needed.map(({ message }) => `    ${nameOf(packId)}: ${message}`));
  return [
    "  cautions",
    ...cautions.map((caution) => `    ${caution}`),
    textTable(
      HEADER,
      items.map((item) => [nameOf(item.packId), ...cellsOf(item)]),
    ),
    `Of ${WHOSE[items[0]?.of ?? "mean"]}; +- U, U = 2 u.`,
    ...(open.length === 0 ? [] : ["  needed to say more", ...open]),
  ].join("\n");
}

const WHOSE: Readonly<Record<PredictionView["of"], string>> = {
  mean: "the mean of the specimens that were tested",
  "unknown-specimen": "a specimen that nobody has tested",
  specimen: "the specimen that was named",
};

function cellsOf(item: PredictionView): string[] {
  const { holds, probability, lasts, marginVoltsPerCell, marginUncertainty, shareLeft, limit } = item;
  return [
    holds === null ? "not known" : holds ? "yes" : "no",
    probability === null ? "-" : percent(probability),
    lasts === null
      ? "-"
      : lasts.isLowerBound
        ? `>= ${digits(lasts.value)}`
        : knownValue(lasts.value, 2 * lasts.uncertainty),
    marginVoltsPerCell === null ? "-" : knownValue(marginVoltsPerCell, 2 * (marginUncertainty ?? 0)),
    shareLeft === null ? "-" : chargeLeftText(shareLeft),
    limit === null ? "-" : `${limit.reason} at ${knownValue(limit.at.value, 2 * limit.at.uncertainty)} s`,
  ];
}

/** Certainty is never claimed. */
function percent(probability: number): string {
  if (probability > 0.999) return "> 99.9 %";
  if (probability < 0.001) return "< 0.1 %";
  return `${(100 * probability).toFixed(1)} %`;
}

const digits = (value: number): string => String(Number(value.toPrecision(3)));
