import type { Trace } from "../model.js";

/** The same function, which computes once what it says of a trace, however many ask while the trace is held. Nobody may change it. */
export function oncePerTrace<T>(of: (trace: Trace) => T): (trace: Trace) => T {
  const known = new WeakMap<Trace, { readonly value: T }>();
  return (trace) => {
    const found = known.get(trace) ?? { value: of(trace) };
    known.set(trace, found);
    return found.value;
  };
}
