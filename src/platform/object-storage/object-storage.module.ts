import { Global, Inject, Module, type OnApplicationShutdown } from "@nestjs/common";
import { CONFIG, type Config } from "../config/config.js";
import { ObjectStorage } from "./object-storage.js";

/** The object storage that is configured; null where none is. */
export const OBJECT_STORAGE = Symbol("object storage");

@Global()
@Module({
  providers: [
    {
      provide: OBJECT_STORAGE,
      inject: [CONFIG],
      useFactory: ({ objectStorage }: Config) => objectStorage && new ObjectStorage(objectStorage),
    },
  ],
  exports: [OBJECT_STORAGE],
})
export class ObjectStorageModule implements OnApplicationShutdown {
  constructor(@Inject(OBJECT_STORAGE) private readonly storage: ObjectStorage | null) {}

  onApplicationShutdown(): void {
    this.storage?.close();
  }
}
