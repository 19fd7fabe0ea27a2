import { createHash } from "node:crypto";

/** A stream of random numbers that its name decides. */
export interface Random {
  /** Uniform in [0, 1). */
  uniform(): number;
  between(low: number, high: number): number;
  /** As likely in every interval of equal ratio; both ends above zero. */
  logBetween(low: number, high: number): number;
  /** Normal with mean 0 and standard deviation 1. */
  normal(): number;
  pick<T>(choices: readonly T[]): T;
}

const DRAWS_BEFORE_USE = 12;

/**
 * The generator sfc32 of the PractRand suite (C. Doty-Humphrey; from memory), its state taken from the SHA-256 of the name.
 * Normal numbers by Marsaglia's polar method.
 */
export function randomOf(name: string): Random {
  const digest = createHash("sha256").update(name).digest();
  let [a, b, c, counter] = [digest.readInt32LE(0), digest.readInt32LE(4), digest.readInt32LE(8), 1];
  const bits = (): number => {
    const sum = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (((c << 21) | (c >>> 11)) + sum) | 0;
    return sum >>> 0;
  };
  for (let i = 0; i < DRAWS_BEFORE_USE; i++) bits();

  const uniform = () => ((bits() >>> 5) * 2 ** 26 + (bits() >>> 6)) / 2 ** 53;
  let spare: number | null = null;
  const normal = (): number => {
    if (spare !== null) {
      const kept = spare;
      spare = null;
      return kept;
    }
    for (;;) {
      const [x, y] = [2 * uniform() - 1, 2 * uniform() - 1];
      const square = x * x + y * y;
      if (square === 0 || square >= 1) continue;
      const scale = Math.sqrt((-2 * Math.log(square)) / square);
      spare = y * scale;
      return x * scale;
    }
  };
  return {
    uniform,
    between: (low, high) => low + (high - low) * uniform(),
    logBetween: (low, high) => low * Math.exp(uniform() * Math.log(high / low)),
    normal,
    pick: (choices) => {
      if (choices.length === 0) throw new RangeError("there is nothing to pick from");
      return choices[Math.floor(uniform() * choices.length)] as (typeof choices)[number];
    },
  };
}
