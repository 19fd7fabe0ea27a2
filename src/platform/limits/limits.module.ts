import { Global, Module } from "@nestjs/common";
import { Limits } from "./limits.js";

/** Gives every feature the limits. */
@Global()
@Module({ providers: [Limits], exports: [Limits] })
export class LimitsModule {}
