import type { Trace } from "../model.js";

const computed = new WeakMap<Trace, Float64Array>();

/** P = V x I at the samples, W; computed once for each trace. */
export function powerOf(trace: Trace): Float64Array {
  const known = computed.get(trace);
  if (known) return known;
  const { voltage, current } = trace;
  const power = new Float64Array(voltage.length);
  for (let i = 0; i < power.length; i++) power[i] = (voltage[i] as number) * (current[i] as number);
  computed.set(trace, power);
  return power;
}
