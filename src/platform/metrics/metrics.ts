import {
  AggregatorRegistry,
  Counter,
  collectDefaultMetrics,
  Gauge,
  Histogram,
  type Metric,
  type MetricObjectWithValues,
  type MetricValue,
  Registry,
} from "prom-client";
import { COMPUTATION_VERSION } from "../../core/model.js";
import { programVersion } from "../config/program-version.js";

/** Upper bounds of durations, s: from a read out of memory to the longest log. */
const SECONDS = [0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30, 120];

type Values = MetricObjectWithValues<MetricValue<string>>[];

/** What a service asks its worker: the metrics that it adds to its own. */
export const METRICS_TO_ADD = "metrics to add";
/** What this process has done and how it is, in the exposition format of Prometheus (0.0.4): counts since its start, and gauges. */
export class Metrics {
  readonly registry = new Registry();

  /** Requests of HTTP by the pattern of their address, never the address itself: what a stranger asks for makes no new series. */
  readonly requests = this.histogram("http_request_seconds", "Time until a request was answered", [
    "method",
    "route",
    "status",
  ]);
  /** Answers with problem details; of an upload, why it was refused. */
  readonly problems = this.counter("problems_total", "Requests refused or failed, by the code of the problem", [
    "route",
    "code",
  ]);
  readonly evaluations = this.histogram("evaluation_seconds", "Time that an evaluation of a stored log took", [
    "protocol",
    "outcome",
  ]);
  readonly failedRules = this.counter("failed_rules_total", "Rules of protocols that evaluated runs failed", [
    "protocol",
    "rule",
  ]);
  readonly copies = this.counter("copies_found_total", "Pairs of runs found to look like one measurement", []);
  readonly standings = this.counter("standings_refreshed_total", "Packs whose standings were computed anew", [
    "protocol",
  ]);
  readonly replicaReads = this.counter("replica_reads_total", "Public reads that a replica could answer, by what did", [
    "source",
  ]);
  readonly failedJobs = this.counter("failed_job_attempts_total", "Tries at a queued job that failed", ["task"]);

  /** Asks what a worker that is this service's own has done; null while there is none. */
  worker: (() => Promise<unknown>) | null = null;

  constructor() {
    for (const metric of metricsOfProcess()) this.registry.registerMetric(metric);
    const build = { version: programVersion(), computation: String(COMPUTATION_VERSION) };
    this.gauge(
      "build_info",
      "1, with the versions of the program and of its computation",
      ["version", "computation"],
      (gauge) => gauge.set(build, 1),
    );
  }

  /** All, with what the service's own worker has done added. */
  async text(): Promise<string> {
    const ofWorker = (await this.worker?.()) as Values | null | undefined;
    if (!ofWorker) return this.registry.metrics();
    const { registry } = this;
    const inBoth = new Set(ofWorker.map(({ name }) => name));
    const own = [...inBoth].flatMap((name) => registry.getSingleMetric(name) ?? []).map((metric) => metric.get());
    const sums = AggregatorRegistry.aggregate([await Promise.all(own), ofWorker]).metrics();
    const others = registry.getMetricsAsArray().filter(({ name }) => !inBoth.has(name));
    const texts = await Promise.all([...others.map(({ name }) => registry.getSingleMetricAsString(name)), sums]);
    return `${texts.map((text) => text.trimEnd()).join("\n\n")}\n`;
  }

  /**
   * What adds up with the same of another process: counts, durations and memory. Gauges of the record are the same in each, and event loop
   * and garbage collection tell of one process.
   */
  async added(): Promise<Values> {
    const adds = ({ name, type }: Values[number]) => {
      const isCount = ["counter", "histogram"].includes(String(type)) && !name.startsWith(`${PREFIX}nodejs_`);
      return isCount || name === `${PREFIX}process_resident_memory_bytes`;
    };
    return (await this.registry.getMetricsAsJSON()).filter(adds);
  }

  /** A value that is asked for when the metrics are read. */
  gauge<Label extends string>(
    name: string,
    help: string,
    labelNames: readonly Label[],
    collect: (gauge: Gauge<Label>) => Promise<void> | void,
  ): void {
    new Gauge<Label>({
      name: `${PREFIX}${name}`,
      help,
      labelNames: [...labelNames],
      registers: [this.registry],
      collect() {
        return collect(this);
      },
    });
  }

  private counter<Label extends string>(name: string, help: string, labelNames: readonly Label[]): Counter<Label> {
    return new Counter({ name: `${PREFIX}${name}`, help, labelNames: [...labelNames], registers: [this.registry] });
  }

  private histogram<Label extends string>(name: string, help: string, labelNames: readonly Label[]): Histogram<Label> {
    const options = { name: `${PREFIX}${name}`, help, labelNames: [...labelNames], registers: [this.registry] };
    return new Histogram({ ...options, buckets: SECONDS });
  }
}

const PREFIX = "packledger_";

/**
 * Memory, event loop and garbage collection are the process's, however many services it holds one after the other: what watches
 * them ends with the process alone, and would keep with it each service that had its own.
 */
function metricsOfProcess(): readonly Metric[] {
  ofProcess ??= collected();
  return ofProcess;
}

let ofProcess: readonly Metric[] | undefined;

function collected(): Metric[] {
  const register = new Registry();
  collectDefaultMetrics({ register, prefix: PREFIX });
  return register.getMetricsAsArray().flatMap(({ name }) => register.getSingleMetric(name) ?? []);
}
