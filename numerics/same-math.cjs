const exp = require("@stdlib/math-base-special-exp");
const log = require("@stdlib/math-base-special-ln");
const pow = require("@stdlib/math-base-special-pow");

/** `Math` for a package that would ask the engine's: what ECMA-262 fixes to the bit, square roots, and the library's own. */
const { abs, ceil, floor, max, min, round, sqrt, PI, SQRT2, LOG10E } = Math;
module.exports = { abs, ceil, floor, max, min, round, sqrt, PI, SQRT2, LOG10E, exp, log, pow };
