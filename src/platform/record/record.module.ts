import { Global, Module } from "@nestjs/common";
import { Happenings } from "./happenings.js";

/** Gives every feature the record of what happens. */
@Global()
@Module({ providers: [Happenings], exports: [Happenings] })
export class RecordModule {}
