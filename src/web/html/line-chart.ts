import { type Html, html } from "./html.js";
import { plainNumber } from "./quantity.js";

/** A curve, with the half-width of its band where that is known. */
export interface Curve {
  readonly name: Html | string;
  readonly x: readonly number[];
  readonly y: readonly number[];
  readonly half?: readonly number[];
}

export interface LineChart {
  /** What is shown, with its unit, for those who see it and those who do not. */
  readonly title: string;
  readonly across: string;
  readonly curves: readonly Curve[];
}

const [WIDTH, HEIGHT] = [480, 270];
const [LEFT, RIGHT, TOP, BOTTOM] = [46, 470, 10, 232];
const NICE = [1, 2, 2.5, 5, 10];

/** Draws curves over one axis, in colours and dashes of the styles, by the index of the curve. */
export function lineChart({ title, across, curves }: LineChart): Html {
  const shown = curves.filter(({ x }) => x.length > 0);
  if (shown.length === 0) return html`<p class="empty">There is no curve to draw of this.</p>`;
  const x = axisOf(
    shown.flatMap((curve) => [...ends(curve.x)]),
    [LEFT, RIGHT],
    6,
  );
  const y = axisOf(
    shown.flatMap((curve) =>
      curve.y.flatMap((value, i) => [value - (curve.half?.[i] ?? 0), value + (curve.half?.[i] ?? 0)]),
    ),
    [BOTTOM, TOP],
    5,
  );
  return html`<figure class="chart"><figcaption>${title}</figcaption>
<svg viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="${title} over ${across}">
${y.ticks.map((tick) => html`<line class="grid" x1="${LEFT}" x2="${RIGHT}" y1="${at(y.at(tick))}" y2="${at(y.at(tick))}"/><text x="${LEFT - 6}" y="${at(y.at(tick) + 4)}" text-anchor="end">${plainNumber(tick, 5)}</text>`)}
${x.ticks.map((tick) => html`<line class="grid" x1="${at(x.at(tick))}" x2="${at(x.at(tick))}" y1="${BOTTOM}" y2="${BOTTOM + 4}"/><text x="${at(x.at(tick))}" y="${BOTTOM + 18}" text-anchor="middle">${plainNumber(tick, 5)}</text>`)}
<text class="across" x="${(LEFT + RIGHT) / 2}" y="${HEIGHT - 4}" text-anchor="middle">${across}</text>
${curves.map((curve, index) => curve.x.length > 0 && html`<g class="curve curve-${index % 6}">${band(curve)}<path d="${path(curve.x, curve.y)}"/></g>`)}
</svg></figure>`;

  function path(xs: readonly number[], ys: readonly number[]): string {
    return xs.map((value, i) => `${i === 0 ? "M" : "L"}${at(x.at(value))} ${at(y.at(ys[i] as number))}`).join("");
  }

  function band({ x: xs, y: ys, half }: Curve): Html | false {
    if (!half) return false;
    const upper = path(
      xs,
      ys.map((value, i) => value + (half[i] ?? 0)),
    );
    const lower = path([...xs].reverse(), ys.map((value, i) => value - (half[i] ?? 0)).reverse()).replace("M", "L");
    return html`<path class="band" d="${upper}${lower}Z"/>`;
  }
}

/** Which curve is whose. */
export const legend = (curves: readonly Pick<Curve, "name">[]): Html =>
  html`<ul class="legend">${curves.map(
    ({ name }, index) =>
      html`<li><svg class="curve curve-${index % 6}" viewBox="0 0 28 8" aria-hidden="true"><path d="M0 4H28"/></svg> ${name}</li>`,
  )}</ul>`;

const at = (value: number): string => String(Math.round(value * 10) / 10);
const ends = (values: readonly number[]) => [values[0] ?? 0, values.at(-1) ?? 0] as const;

function axisOf(values: readonly number[], [from, to]: readonly [number, number], wanted: number) {
  const low = values.reduce((least, value) => Math.min(least, value), Number.POSITIVE_INFINITY);
  const high = values.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY);
  const span = high - low || Math.abs(high) || 1;
  const power = 10 ** Math.floor(Math.log10(span / wanted));
  const step = power * (NICE.find((nice) => nice * power >= span / wanted) ?? 10);
  const [first, last] = [Math.floor(low / step) * step, Math.ceil(high / step + 1e-9) * step];
  const count = Math.round((last - first) / step);
  return {
    ticks: Array.from({ length: count + 1 }, (_, index) => first + index * step),
    at: (value: number) => from + ((value - first) / (last - first)) * (to - from),
  };
}
