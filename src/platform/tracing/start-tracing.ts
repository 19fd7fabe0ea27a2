import type { TracingConfig } from "./tracing-config.js";

/** Begins to trace where a collector is named; nothing of it is loaded where none is. Returns what sends the rest at the end. */
export async function startTracing(config: TracingConfig | null): Promise<() => Promise<void>> {
  if (!config) return async () => undefined;
  const [{ Exporter }, { Tracer, traceWith }] = await Promise.all([import("./exporter.js"), import("./tracer.js")]);
  const exporter = new Exporter(config);
  traceWith(new Tracer(exporter.take, config.share));
  return () => exporter.stop();
}
