import { type DynamicModule, Global, Module } from "@nestjs/common";
import type { Config } from "../config/config.js";
import { Database } from "./database.js";

/** Gives every feature the one connection pool to the record. */
@Global()
@Module({})
export class DatabaseModule {
  static at(connectionString: string, config: Config): DynamicModule {
    const useFactory = () => new Database(connectionString, config.databaseConnections, config);
    return {
      module: DatabaseModule,
      providers: [{ provide: Database, useFactory }],
      exports: [Database],
    };
  }
}
