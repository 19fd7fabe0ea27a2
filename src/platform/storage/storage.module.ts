import { Global, Module } from "@nestjs/common";
import { Storage } from "./storage.js";
import { StorageRepository } from "./storage.repository.js";

@Global()
@Module({ providers: [Storage, StorageRepository], exports: [Storage] })
export class StorageModule {}
