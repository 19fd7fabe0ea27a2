import type { WholeSample } from "./written-log.js";

/** The run that every file under `ok/` holds: 5 samples a second for 24 s, 4 s of rest and then the load. */
export const KNOWN_RUN: readonly WholeSample[] = Array.from({ length: 120 }, (_, i) => {
  const loaded = i >= 20;
  const wave = ((i * 37) % 11) - 5;
  return {
    ms: i * 200,
    mV: loaded ? 15_400 - 12 * (i - 20) + wave : 16_760 + (wave >> 2),
    cA: loaded ? 9600 - 7 * (i - 20) + 3 * wave : 0,
    dC: loaded ? 220 + Math.round((i - 20) / 4) : 220,
  };
});
