import { Module } from "@nestjs/common";
import { APP_FILTER, APP_GUARD, APP_INTERCEPTOR, APP_PIPE } from "@nestjs/core";
import { SessionGuard } from "./auth/session.guard.js";
import { HealthController } from "./health/health.controller.js";
import { Readiness } from "./health/readiness.js";
import { RevisedReads } from "./http/answers/revised-reads.js";
import { SecretAnswersInterceptor } from "./http/answers/secret-answers.interceptor.js";
import { AcceptGuard } from "./http/requests/accept.guard.js";
import { InputPipe } from "./http/requests/input.pipe.js";
import { PreconditionGuard } from "./http/requests/precondition.guard.js";
import { QueryGuard } from "./http/requests/query.guard.js";
import { WelcomeController } from "./http/welcome.controller.js";
import { LimitGuard } from "./limits/limit.guard.js";
import { ProblemFilter } from "./problems/problem.filter.js";
import { ProblemsController } from "./problems/problems.controller.js";

/** What holds for every request of every feature. */
@Module({
  controllers: [HealthController, ProblemsController, WelcomeController],
  providers: [
    Readiness,
    RevisedReads,
    { provide: APP_FILTER, useClass: ProblemFilter },
    { provide: APP_GUARD, useClass: SessionGuard },
    { provide: APP_GUARD, useClass: LimitGuard },
    { provide: APP_INTERCEPTOR, useClass: SecretAnswersInterceptor },
    { provide: APP_GUARD, useClass: AcceptGuard },
    { provide: APP_GUARD, useClass: QueryGuard },
    { provide: APP_GUARD, useClass: PreconditionGuard },
    { provide: APP_PIPE, useClass: InputPipe },
  ],
})
export class PlatformModule {}
