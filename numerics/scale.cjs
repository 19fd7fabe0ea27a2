const ldexp = require("@stdlib/math-base-special-ldexp");

/** Powers of two, whose products with what is near 1 are exact. */
const MAX_EXPONENT = 1000;
const POWERS = new Float64Array(2 * MAX_EXPONENT + 1);
POWERS[MAX_EXPONENT] = 1;
for (let n = 1; n <= MAX_EXPONENT; n++) {
  POWERS[MAX_EXPONENT + n] = 2 * POWERS[MAX_EXPONENT + n - 1];
  POWERS[MAX_EXPONENT - n] = POWERS[MAX_EXPONENT - n + 1] / 2;
}

/** `fraction` times 2 to the power `exponent`, to the same bit as the package that takes numbers apart, without taking it apart. */
module.exports = (fraction, exponent) => {
  const isNear = fraction > 0.25 && fraction < 4 && exponent >= -MAX_EXPONENT && exponent <= MAX_EXPONENT;
  return isNear ? fraction * POWERS[MAX_EXPONENT + exponent] : ldexp(fraction, exponent);
};
