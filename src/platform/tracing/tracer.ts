import { AsyncLocalStorage } from "node:async_hooks";
import { newSpanId, newTraceId, type TraceContext, traceparentOf } from "./trace-context.js";

/** What part a span has in a trace (OpenTelemetry: SpanKind). */
export type SpanKind = "internal" | "server" | "client" | "consumer";
export type Attributes = Readonly<Record<string, string | number | boolean>>;

/** Something that was done, when, and for what. */
export interface EndedSpan extends TraceContext {
  readonly parentSpanId: string | null;
  readonly name: string;
  readonly kind: SpanKind;
  /** ns since 1970 */
  readonly startNs: bigint;
  readonly endNs: bigint;
  readonly attributes: Attributes;
  readonly failed: boolean;
}

/** Takes what has ended; never waits, never throws. */
export type SpanSink = (span: EndedSpan) => void;

export interface SpanOptions {
  readonly kind?: SpanKind;
  /** In place of what is being done now; null for the beginning of a trace. */
  readonly parent?: TraceContext | null;
  readonly attributes?: Attributes;
}

/** Something that is being done. */
export class Span {
  private readonly startNs = nowNs();
  private isEnded = false;

  constructor(
    readonly context: TraceContext,
    private name: string,
    private readonly parent: TraceContext | null,
    private readonly kind: SpanKind,
    private attributes: Attributes,
    private readonly sink: SpanSink,
  ) {}

  rename(name: string): void {
    this.name = name;
  }

  /** Once; later calls are passed over. */
  end(attributes: Attributes = {}, failed = false): void {
    if (this.isEnded) return;
    this.isEnded = true;
    if (!this.context.isSampled) return;
    const { name, kind, startNs } = this;
    const parentSpanId = this.parent?.spanId ?? null;
    const all = { ...this.attributes, ...attributes };
    this.sink({ ...this.context, parentSpanId, name, kind, startNs, endNs: nowNs(), attributes: all, failed });
  }
}

/** Follows what is done for a request or a job through everything that it calls. */
export class Tracer {
  private readonly current = new AsyncLocalStorage<Span>();

  /** @param share of the traces that begin here which are recorded, 0 to 1 */
  constructor(
    private readonly sink: SpanSink,
    private readonly share = 1,
  ) {}

  get context(): TraceContext | null {
    return this.current.getStore()?.context ?? null;
  }

  begin(name: string, { kind = "internal", parent = this.context, attributes = {} }: SpanOptions = {}): Span {
    const traceId = parent?.traceId ?? newTraceId();
    const isSampled = parent ? parent.isSampled : isOfShare(traceId, this.share);
    const context = { traceId, spanId: newSpanId(), isSampled };
    return new Span(context, name, parent, kind, attributes, this.sink);
  }

  /** Does something as what a span is about. */
  within<T>(span: Span, work: () => T): T {
    return this.current.run(span, work);
  }

  /** Does something as a span of its own, which ends when it does. */
  async span<T>(name: string, options: SpanOptions, work: () => Promise<T>): Promise<T> {
    const span = this.begin(name, options);
    try {
      const result = await this.within(span, work);
      span.end();
      return result;
    } catch (error) {
      span.end({ "error.type": (error as Error).name }, true);
      throw error;
    }
  }

  /** For whoever goes on with this elsewhere; null while nothing is being done. */
  get traceparent(): string | null {
    return this.context && traceparentOf(this.context);
  }
}

/** By its last 56 bits, which are random: whoever else decides on a trace by the same share decides alike (OpenTelemetry: TraceIdRatioBased). */
function isOfShare(traceId: string, share: number): boolean {
  return Number.parseInt(traceId.slice(18), 16) < share * 2 ** 56;
}

/** The clock that spans are told by: it goes evenly, and begins with the time of the day. */
const zeroNs = BigInt(Date.now()) * 1_000_000n - process.hrtime.bigint();
const nowNs = () => zeroNs + process.hrtime.bigint();

let active: Tracer | null = null;

/** The process's tracer; null where nothing is traced. */
export const tracer = (): Tracer | null => active;

/** Once, at the start of a process. */
export function traceWith(started: Tracer): void {
  active = started;
}
