import { type DynamicModule, Module } from "@nestjs/common";
import { Metrics } from "./metrics.js";
import { RecordGauges } from "./record-gauges.js";

/** Gives every feature the metrics, which it counts in. */
@Module({})
export class MetricsModule {
  /** @param metrics in which the server counts every request before any module is asked */
  static with(metrics: Metrics): DynamicModule {
    return {
      module: MetricsModule,
      global: true,
      providers: [RecordGauges, { provide: Metrics, useValue: metrics }],
      exports: [Metrics],
    };
  }
}
