import { type DynamicModule, Global, Module } from "@nestjs/common";
import type { Config } from "../config/config.js";
import { Database } from "./database.js";

/** Gives every feature the one connection pool to the record. */
@Global()
@Module({})
export class DatabaseModule {
  static at(connectionString: string, { databaseConnections, readSeconds }: Config): DynamicModule {
    return {
      module: DatabaseModule,
      providers: [
        { provide: Database, useFactory: () => new Database(connectionString, databaseConnections, readSeconds) },
      ],
      exports: [Database],
    };
  }
}
