import { Global, Module } from "@nestjs/common";
import { APP_INTERCEPTOR } from "@nestjs/core";
import { ClaimsRepository } from "./claims.repository.js";
import { IdempotencyInterceptor } from "./idempotency.interceptor.js";
import { Idempotency } from "./idempotency.js";

@Global()
@Module({
  providers: [ClaimsRepository, Idempotency, { provide: APP_INTERCEPTOR, useClass: IdempotencyInterceptor }],
  exports: [Idempotency],
})
export class IdempotencyModule {}
