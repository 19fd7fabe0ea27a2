import { type DynamicModule, Global, Module } from "@nestjs/common";
import type { Config } from "../config/config.js";
import { Database } from "./database.js";
import { ReplicaReads } from "./reads/replica-reads.js";

/** Gives every feature the one connection pool to the record, and reads that a copy of it may answer. */
@Global()
@Module({})
export class DatabaseModule {
  static at(connectionString: string, config: Config): DynamicModule {
    const useFactory = () => new Database(connectionString, config.databaseConnections, config);
    return {
      module: DatabaseModule,
      providers: [{ provide: Database, useFactory }, ReplicaReads],
      exports: [Database, ReplicaReads],
    };
  }
}
