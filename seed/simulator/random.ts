const { cos, log, sqrt } = Math;

/** A reproducible stream of random numbers. */
export interface Random {
  /** Uniform in (0, 1). */
  uniform(): number;
  /** Uniform in (low, high). */
  between(low: number, high: number): number;
  /** Normal with mean 0 and standard deviation 1. */
  gaussian(): number;
}

const FIRST_MODULUS = 2_147_483_563;
const FIRST_FACTOR = 40_014;
const SECOND_MODULUS = 2_147_483_399;
const SECOND_FACTOR = 40_692;

/**
 * Two multiplicative congruential sequences, subtracted: P. L'Ecuyer, Communications of the ACM 31 (1988) 742
 * (constants from memory). Every product stays below 2^53, so the sequence is exact and the same on any machine.
 * Gaussian numbers by Box and Muller, Annals of Mathematical Statistics 29 (1958) 610.
 */
export function createRandom(seed: number): Random {
  if (!Number.isSafeInteger(seed) || seed < 1) throw new RangeError("A seed is a whole number above 0");
  let first = 1 + (seed % (FIRST_MODULUS - 1));
  let second = 1 + ((seed * 7 + 12_345) % (SECOND_MODULUS - 1));

  const uniform = (): number => {
    first = (first * FIRST_FACTOR) % FIRST_MODULUS;
    second = (second * SECOND_FACTOR) % SECOND_MODULUS;
    const difference = first - second;
    return (difference > 0 ? difference : difference + FIRST_MODULUS - 1) / FIRST_MODULUS;
  };
  // Neighbouring seeds start close together and part within a few steps.
  for (let i = 0; i < 20; i += 1) uniform();

  return {
    uniform,
    between: (low, high) => low + (high - low) * uniform(),
    gaussian: () => sqrt(-2 * log(uniform())) * cos(2 * Math.PI * uniform()),
  };
}
