import type { View } from "../../api/public-api.js";
import { type Html, html } from "../../html/html.js";
import { plainNumber } from "../../html/quantity.js";

/** What the drawings of one ranking share, so that they can be held against each other. */
export interface Scale {
  readonly from: number;
  readonly to: number;
  readonly ticks: readonly number[];
}

const WANTED_TICKS = 4;
const NICE = [1, 2, 5, 10];

export const expandedOf = ({ uncertainty, coverageFactor }: View<"StandingView">): number =>
  uncertainty * coverageFactor;

/** From the lowest end of an interval to the highest, at round numbers; one provisional value known badly does not stretch it. */
export function scaleOf(standings: readonly View<"StandingView">[]): Scale {
  const ends = standings.flatMap((one) => [one.value - expandedOf(one), one.value + expandedOf(one)]);
  const [low, high] = [Math.min(...ends), Math.max(...ends)];
  const span = high - low || Math.abs(high) || 1;
  const rough = span / WANTED_TICKS;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = power * (NICE.find((nice) => nice * power >= rough) ?? 10);
  const [from, to] = [Math.floor(low / step) * step, Math.ceil(high / step) * step];
  const count = Math.max(1, Math.round((to - from) / step));
  return { from, to: from + count * step, ticks: Array.from({ length: count + 1 }, (_, index) => from + index * step) };
}

const share = (value: number, { from, to }: Scale): string => `${(100 * (value - from)) / (to - from)}%`;

/** The head of the column: round numbers over the places where the intervals are drawn. */
export function axis(scale: Scale): Html {
  return html`<svg class="axis" aria-hidden="true">${scale.ticks.map((tick, index) => {
    const anchor = index === 0 ? "start" : index === scale.ticks.length - 1 ? "end" : "middle";
    return html`<text x="${share(tick, scale)}" y="12" text-anchor="${anchor}">${plainNumber(tick, 6)}</text>`;
  })}</svg>`;
}

/** A value with its interval; filled where it is established, hollow and broken where it is provisional. */
export function interval(standing: View<"StandingView">, scale: Scale): Html {
  const expanded = expandedOf(standing);
  const [low, high] = [share(standing.value - expanded, scale), share(standing.value + expanded, scale)];
  return html`<svg class="interval ${standing.established ? "established" : "provisional"}" aria-hidden="true">
${scale.ticks.map((tick) => html`<line class="tick" x1="${share(tick, scale)}" x2="${share(tick, scale)}" y1="0" y2="28"/>`)}
<line class="range" x1="${low}" x2="${high}" y1="14" y2="14"/>
<line class="end" x1="${low}" x2="${low}" y1="9" y2="19"/><line class="end" x1="${high}" x2="${high}" y1="9" y2="19"/>
<svg x="${share(standing.value, scale)}" y="14" overflow="visible">${
    standing.established ? html`<circle r="5"/>` : html`<path d="M0-6L6 0 0 6-6 0z"/>`
  }</svg></svg>`;
}
