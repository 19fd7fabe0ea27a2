import type { Variables } from "../config/variables.js";

/** Where spans are sent, as the variables of OpenTelemetry name it. */
export interface TracingConfig {
  /** The collector's address for traces. */
  readonly url: URL;
  /** Header fields that it asks for. */
  readonly headers: Readonly<Record<string, string>>;
  readonly serviceName: string;
  readonly resource: Readonly<Record<string, string>>;
  /** Share of the traces that begin here which are recorded. */
  readonly share: number;
}

const SAMPLERS = {
  always_on: () => 1,
  always_off: () => 0,
  traceidratio: (share: number) => share,
  parentbased_always_on: () => 1,
  parentbased_always_off: () => 0,
  parentbased_traceidratio: (share: number) => share,
};
type Sampler = keyof typeof SAMPLERS;

/** Null where no collector is named: nothing is traced then, and nothing of it loaded. */
export function readTracing(variables: Variables): TracingConfig | null {
  const url = variables.collector("OTEL_EXPORTER_OTLP_ENDPOINT", "OTEL_EXPORTER_OTLP_TRACES_ENDPOINT");
  if (!url || variables.yesNo("OTEL_SDK_DISABLED", false)) return null;
  variables.oneOf("OTEL_EXPORTER_OTLP_PROTOCOL", "http/json", ["http/json"]);
  const sampler = variables.oneOf("OTEL_TRACES_SAMPLER", "parentbased_always_on", Object.keys(SAMPLERS) as Sampler[]);
  const resource = variables.pairs("OTEL_RESOURCE_ATTRIBUTES");
  return {
    url,
    headers: variables.pairs("OTEL_EXPORTER_OTLP_HEADERS"),
    serviceName: variables.text("OTEL_SERVICE_NAME", resource["service.name"] ?? "packledger"),
    resource,
    share: SAMPLERS[sampler](variables.share("OTEL_TRACES_SAMPLER_ARG", 1)),
  };
}
