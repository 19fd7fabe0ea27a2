/**
 * Which samples to keep so that a chart of at most `points` of them still shows every channel's extremes: the samples are
 * cut into stretches of equal number, and of each stretch the first, and the lowest and highest of each channel, are kept. Where these are
 * few, as of smooth channels, whose extremes are at the ends of stretches, evenly spaced samples make up the number.
 *
 * @param channels channels of one length
 * @param points at least 4 for each channel
 * @returns rising sample indices, first and last included; all of them when there are no more than `points`
 */
export function reducedIndices(channels: readonly Float64Array[], points: number): Uint32Array {
  const length = channels[0]?.length ?? 0;
  if (length <= points) return Uint32Array.from({ length }, (_, i) => i);
  const stretches = Math.max(1, Math.floor((points - 1) / (1 + 2 * channels.length)));
  const kept = new Set<number>([0, length - 1]);
  for (let stretch = 0; stretch < stretches; stretch++) {
    const from = Math.floor((stretch * length) / stretches);
    const to = Math.floor(((stretch + 1) * length) / stretches);
    kept.add(from);
    for (const channel of channels) addExtremes(channel, from, to, kept);
  }
  const spare = points - kept.size;
  for (let n = 1; n <= spare; n++) kept.add(Math.round((n * (length - 1)) / (spare + 1)));
  return Uint32Array.from(kept).sort();
}

function addExtremes(values: Float64Array, from: number, to: number, kept: Set<number>): void {
  let lowest = from;
  let highest = from;
  for (let i = from + 1; i < to; i++) {
    if ((values[i] as number) < (values[lowest] as number)) lowest = i;
    if ((values[i] as number) > (values[highest] as number)) highest = i;
  }
  kept.add(lowest).add(highest);
}
