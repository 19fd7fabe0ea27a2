import { Global, Module } from "@nestjs/common";
import { LogChunksRepository } from "./log-chunks.repository.js";
import { Storage } from "./storage.js";
import { StorageRepository } from "./storage.repository.js";

@Global()
@Module({ providers: [LogChunksRepository, Storage, StorageRepository], exports: [LogChunksRepository, Storage] })
export class StorageModule {}
