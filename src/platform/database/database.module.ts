import { type DynamicModule, Global, Module } from "@nestjs/common";
import { Database } from "./database.js";

/** Gives every feature the one connection pool to the record. */
@Global()
@Module({})
export class DatabaseModule {
  static at(connectionString: string, connections: number): DynamicModule {
    return {
      module: DatabaseModule,
      providers: [{ provide: Database, useFactory: () => new Database(connectionString, connections) }],
      exports: [Database],
    };
  }
}
