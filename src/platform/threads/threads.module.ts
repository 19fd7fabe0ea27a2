import { Global, Module } from "@nestjs/common";
import { Threads } from "./threads.js";

@Global()
@Module({ providers: [Threads], exports: [Threads] })
export class ThreadsModule {}
