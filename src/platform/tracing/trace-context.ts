import { randomBytes } from "node:crypto";

/** Which trace and span something belongs to, and whether that trace is recorded. */
export interface TraceContext {
  /** 32 hexadecimal digits, not all zero. */
  readonly traceId: string;
  /** 16 hexadecimal digits, not all zero. */
  readonly spanId: string;
  readonly isSampled: boolean;
}

/** Version 00; of later ones what version 00 says (W3C Trace Context, 3.2.2 and 3.2.4). */
const FORM = /^([0-9a-f]{2})-([0-9a-f]{32})-([0-9a-f]{16})-([0-9a-f]{2})(-.*)?$/;

/** Reads a `traceparent`; null when it is none, which is as good as not sent (W3C Trace Context, 4.3). */
export function readTraceparent(text: unknown): TraceContext | null {
  const [, version, traceId = "", spanId = "", flags = "", rest] =
    FORM.exec(typeof text === "string" ? text : "") ?? [];
  if (version === undefined || version === "ff" || (version === "00" && rest !== undefined)) return null;
  if (/^0+$/.test(traceId) || /^0+$/.test(spanId)) return null;
  return { traceId, spanId, isSampled: (Number.parseInt(flags, 16) & 1) === 1 };
}

export function traceparentOf({ traceId, spanId, isSampled }: TraceContext): string {
  return `00-${traceId}-${spanId}-${isSampled ? "01" : "00"}`;
}

export const newTraceId = (): string => randomBytes(16).toString("hex");
export const newSpanId = (): string => randomBytes(8).toString("hex");
