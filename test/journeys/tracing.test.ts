import { once } from "node:events";
import { mkdtemp, rm } from "node:fs/promises";
import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { freePort, isReady } from "../durability/network.js";
import { Program } from "../durability/processes.js";
import { Uploaders } from "../durability/uploaders.js";
import { cloneDatabase, type TestDatabase } from "../support/database.js";

/** Numbers of kinds (opentelemetry-proto, trace/v1/trace.proto, from memory). */
const [SERVER, CLIENT, CONSUMER] = [2, 3, 5];
const OTHERS = "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01";

interface SentSpan {
  readonly traceId: string;
  readonly spanId: string;
  readonly parentSpanId?: string;
  readonly name: string;
  readonly kind: number;
  readonly startTimeUnixNano: string;
  readonly endTimeUnixNano: string;
  readonly attributes: readonly { readonly key: string; readonly value: Record<string, unknown> }[];
}

interface Body {
  readonly resourceSpans: readonly {
    readonly resource: { readonly attributes: readonly unknown[] };
    readonly scopeSpans: readonly { readonly spans: readonly SentSpan[] }[];
  }[];
}

/** A collector that takes OTLP over HTTP as JSON at /v1/traces, and is busy at first. */
class Collector {
  readonly spans: SentSpan[] = [];
  readonly resources: unknown[] = [];
  readonly faults: string[] = [];
  private isBusy = true;
  private readonly server: Server = createServer(async (request, response) => {
    let text = "";
    for await (const part of request.setEncoding("utf8")) text += part;
    const { "content-type": type, "api-key": key } = request.headers;
    if (request.method !== "POST" || request.url !== "/otlp/v1/traces" || type !== "application/json" || key !== "a b")
      this.faults.push(`${request.method} ${request.url} ${type} ${key}`);
    if (this.isBusy) {
      this.isBusy = false;
      response.writeHead(503, { "retry-after": "1" }).end();
      return;
    }
    for (const { resource, scopeSpans } of (JSON.parse(text) as Body).resourceSpans) {
      this.resources.push(...resource.attributes);
      for (const { spans } of scopeSpans) this.spans.push(...spans);
    }
    response.writeHead(200, { "content-type": "application/json" }).end("{}");
  });

  async listen(): Promise<string> {
    this.server.listen(0, "127.0.0.1");
    await once(this.server, "listening");
    return `http://127.0.0.1:${(this.server.address() as AddressInfo).port}/otlp`;
  }

  async until(isThere: (span: SentSpan) => boolean): Promise<SentSpan> {
    for (;;) {
      const found = this.spans.find(isThere);
      if (found) return found;
      await delay(50);
    }
  }

  close(): void {
    this.server.closeAllConnections();
    this.server.close();
  }
}

const attributeOf = (span: SentSpan, key: string) => span.attributes.find((one) => one.key === key)?.value;

describe("a service with a collector of OpenTelemetry", () => {
  const collector = new Collector();
  let folder: string;
  let database: TestDatabase;
  let service: Program;
  let url: string;
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), "packledger-tracing-"));
    database = await cloneDatabase();
    url = `http://127.0.0.1:${await freePort()}`;
    const environment = {
      DATABASE_URL: database.connectionString,
      DATA_DIR: folder,
      PORT: new URL(url).port,
      DEMO: "false",
      LOG_LEVEL: "error",
      WAIT_SECONDS: "60",
      EVALUATION_SECONDS: "3600",
      OTEL_EXPORTER_OTLP_ENDPOINT: await collector.listen(),
      OTEL_EXPORTER_OTLP_HEADERS: "api-key=a%20b",
      OTEL_RESOURCE_ATTRIBUTES: "deployment.environment.name=trial",
    };
    const script = join(projectRoot, "dist", "src", "main.js");
    service = new Program(script, environment, join(folder, "service.log"), () => isReady(url));
    await service.start();
    const uploaders = new Uploaders(url);
    await uploaders.begin(1);
    await uploaders.end();
  });
  afterAll(async () => {
    await service.kill();
    collector.close();
    await database.drop();
    await rm(folder, { recursive: true });
  });

  it("tells of an upload, of the job that it queued, and of the statements of both, as one trace", async () => {
    const job = await collector.until(({ name }) => name === "process evaluate-run");
    const upload = await collector.until(({ spanId }) => spanId === job.parentSpanId);
    expect([upload.name, upload.kind, job.kind]).toEqual(["POST /v1/runs", SERVER, CONSUMER]);
    expect(attributeOf(upload, "http.response.status_code")).toEqual({ intValue: "201" });
    expect(attributeOf(upload, "http.route")).toEqual({ stringValue: "/v1/runs" });
    for (const parent of [upload, job]) {
      const statement = await collector.until(
        ({ kind, parentSpanId }) => kind === CLIENT && parentSpanId === parent.spanId,
      );
      expect(statement.traceId).toBe(upload.traceId);
      expect(attributeOf(statement, "db.system.name")).toEqual({ stringValue: "postgresql" });
    }
    const computed = await collector.until(({ name }) => name === "compute evaluateLog");
    expect(computed.parentSpanId).toBe(job.spanId);
  });

  it("goes on with a trace of the client's", async () => {
    await fetch(`${url}/v1/packs?first=1`, { headers: { traceparent: OTHERS } });
    const span = await collector.until(({ parentSpanId }) => parentSpanId === OTHERS.split("-")[2]);
    expect([span.traceId, span.name]).toEqual([OTHERS.split("-")[1], "GET /v1/packs"]);
  });

  it("sends again what a busy collector did not take, in the form of the protocol, without addresses or values", async () => {
    expect(collector.faults).toEqual([]);
    expect(collector.resources).toContainEqual({ key: "service.name", value: { stringValue: "packledger" } });
    expect(collector.resources).toContainEqual({ key: "deployment.environment.name", value: { stringValue: "trial" } });
    for (const span of collector.spans) {
      expect(span.traceId).toMatch(/^[0-9a-f]{32}$/);
      expect(span.spanId).toMatch(/^[0-9a-f]{16}$/);
      expect(BigInt(span.endTimeUnixNano)).toBeGreaterThanOrEqual(BigInt(span.startTimeUnixNano));
      expect(Math.abs(Number(BigInt(span.startTimeUnixNano) / 1_000_000n) - Date.now())).toBeLessThan(3_600_000);
    }
    expect(new Set(collector.spans.map(({ spanId }) => spanId)).size).toBe(collector.spans.length);
    expect(JSON.stringify(collector.spans)).not.toContain("a long enough secret");
    // The first spans came to the busy collector: they are there all the same.
    await collector.until(({ name }) => name === "POST /v1/accounts");
  });
});
