import { type DynamicModule, Module } from "@nestjs/common";
import { ExpiredLimitsRepository } from "./expired-limits.repository.js";
import { GuessLimits } from "./guess-limits.js";
import { RequestLimits } from "./request-limits.js";

/** Gives every feature the limits. */
@Module({})
export class LimitsModule {
  /** @param requestLimits by which the server counts every request before any module is asked */
  static with(requestLimits: RequestLimits): DynamicModule {
    return {
      module: LimitsModule,
      global: true,
      providers: [ExpiredLimitsRepository, GuessLimits, { provide: RequestLimits, useValue: requestLimits }],
      exports: [GuessLimits, RequestLimits],
    };
  }
}
