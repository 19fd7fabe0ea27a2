import { Global, Module } from "@nestjs/common";
import { AuditLog } from "./audit-log.js";

/** Gives every feature the record of what happens. */
@Global()
@Module({ providers: [AuditLog], exports: [AuditLog] })
export class AuditLogModule {}
