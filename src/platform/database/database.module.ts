import { type DynamicModule, Global, Module } from "@nestjs/common";
import type { Config } from "../config/config.js";
import { Database } from "./database.js";

/** Gives every feature the one connection pool to the record. */
@Global()
@Module({})
export class DatabaseModule {
  static at(connectionString: string, config: Config): DynamicModule {
    const { databaseConnections, readSeconds, replicaUrl } = config;
    const useFactory = () => new Database(connectionString, databaseConnections, readSeconds, replicaUrl);
    return {
      module: DatabaseModule,
      providers: [{ provide: Database, useFactory }],
      exports: [Database],
    };
  }
}
