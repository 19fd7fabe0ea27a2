import type { ModelRange } from "./pack-model.js";
import type { PackRun } from "./pack-run.js";

/** What some runs of a pack span. */
export function rangeOf(runs: readonly PackRun[], chargeAh: number): ModelRange {
  const full = runs.filter(({ drawnBefore }) => drawnBefore === null);
  const ended = full.filter(({ reachedCutoff }) => reachedCutoff);
  const means = (ended.length > 0 ? ended : full).map(({ grid }) => grid.meanA);
  const probed = runs.flatMap(({ grid }) => {
    const { temperature, startS, seconds } = grid;
    if (temperature === null) return [];
    const onset = Math.max(0, Math.round(-startS / (seconds[0] as number)) - 1);
    return [{ start: temperature[onset] as number, max: temperature.reduce((a, b) => Math.max(a, b)) }];
  });
  const ages = runs.flatMap(({ cycles }) => cycles ?? []);
  const starts = probed.map(({ start }) => start);
  return {
    meanA: [Math.min(...means), Math.max(...means)],
    peakA: Math.max(...runs.map(({ grid }) => grid.peakA)),
    chargeShare: Math.max(...full.map(({ grid }) => grid.chargeAh)) / chargeAh,
    startC: probed.length === 0 ? null : [Math.min(...starts), Math.max(...starts)],
    maxC: probed.length === 0 ? null : Math.max(...probed.map(({ max }) => max)),
    cycles: ages.length === 0 ? null : [Math.min(...ages), Math.max(...ages)],
  };
}
