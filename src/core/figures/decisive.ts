import { log } from "../numerics/library.js";

/** Figures that a moderator looks at first, in this order. */
const DECISIVE_FIGURES: readonly string[] = [
  "power-10s",
  "capacity",
  "energy",
  "resistance-10s",
  "resistance-two-pulse",
  "temperature-rise",
  "capacity-share",
  "runtime",
  "current-mean",
  "specific-energy",
];
const MAX_DECISIVE = 6;

/** Which figure it is, and under which load: null under the run's own. */
export interface LoadedFigure {
  readonly figure: string;
  readonly load: number | null;
}

/**
 * The six figures by which a run is judged at a glance: each under the standard load nearest to its own mean current where it was
 * translated, else under its own load.
 *
 * @param meanA mean current of the run, A; null where it is not known
 */
export function decisiveFigures<T extends LoadedFigure>(figures: readonly T[], meanA: number | null): T[] {
  const distance = ({ load }: T) => (load === null || !meanA ? 0 : Math.abs(log(load / meanA)));
  const chosen = DECISIVE_FIGURES.flatMap((key) => {
    const candidates = figures.filter(({ figure }) => figure === key);
    const translated = candidates.filter(({ load }) => load !== null);
    return (translated.length > 0 ? translated : candidates).toSorted((a, b) => distance(a) - distance(b)).slice(0, 1);
  });
  return chosen.slice(0, MAX_DECISIVE);
}
