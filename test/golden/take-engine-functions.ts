/** To be imported before anything else: takes from `Math` what ECMA-262 leaves to the engine, so that a module which asks for any of it fails with its name, also while it loads. */
const FIXED = new Set(["abs", "ceil", "clz32", "floor", "imul", "max", "min", "round", "sign", "sqrt", "trunc"]);
for (const name of Object.getOwnPropertyNames(Math)) {
  if (FIXED.has(name) || typeof Math[name as keyof Math] !== "function") continue;
  Object.defineProperty(Math, name, {
    value: () => {
      throw new Error(`asks the engine for Math.${name}`);
    },
  });
}
