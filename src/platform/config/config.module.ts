import { type DynamicModule, Global, Module } from "@nestjs/common";
import { CONFIG, type Config } from "./config.js";

@Global()
@Module({})
export class ConfigModule {
  static with(config: Config): DynamicModule {
    return { module: ConfigModule, providers: [{ provide: CONFIG, useValue: config }], exports: [CONFIG] };
  }
}
