import type { Attributes, EndedSpan } from "./tracer.js";
import type { TracingConfig } from "./tracing-config.js";

/** Numbers of kinds and states as the protocol has them (opentelemetry-proto, trace/v1/trace.proto, from memory). */
const KINDS = { internal: 1, server: 2, client: 3, consumer: 5 } as const;
const STATUS_ERROR = 2;
/** The two lowest bits of the flags: a parent of another process is known to be one, and is. */
const SAMPLED = 1;

/**
 * Spans as the body of a request to a collector: OTLP 1.0 over HTTP in its JSON form, where ids are hexadecimal and 64-bit numbers texts.
 */
export function otlpBody(
  spans: readonly EndedSpan[],
  { serviceName, resource }: TracingConfig,
  version: string,
): object {
  const about = { ...resource, "service.name": serviceName, "service.version": version };
  return {
    resourceSpans: [
      {
        resource: { attributes: keyValues(about) },
        scopeSpans: [{ scope: { name: "packledger", version }, spans: spans.map(otlpSpan) }],
      },
    ],
  };
}

function otlpSpan(span: EndedSpan): object {
  return {
    traceId: span.traceId,
    spanId: span.spanId,
    ...(span.parentSpanId === null ? {} : { parentSpanId: span.parentSpanId }),
    name: span.name,
    kind: KINDS[span.kind],
    flags: SAMPLED,
    startTimeUnixNano: String(span.startNs),
    endTimeUnixNano: String(span.endNs),
    attributes: keyValues(span.attributes),
    status: span.failed ? { code: STATUS_ERROR } : {},
  };
}

const keyValues = (attributes: Attributes) =>
  Object.entries(attributes).map(([key, value]) => ({ key, value: anyValue(value) }));

function anyValue(value: string | number | boolean): object {
  if (typeof value === "string") return { stringValue: value };
  if (typeof value === "boolean") return { boolValue: value };
  return Number.isSafeInteger(value) ? { intValue: String(value) } : { doubleValue: value };
}
