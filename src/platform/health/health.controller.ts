import { Controller, Get, Header, Inject } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import { Database } from "../database/database.js";
import type { ObjectStorage } from "../object-storage/object-storage.js";
import { OBJECT_STORAGE } from "../object-storage/object-storage.module.js";
import { Problem } from "../problems/problem.js";
import { Storage } from "../storage/storage.js";
import { Readiness, type WaitedFor } from "./readiness.js";

@ApiTags("operation")
@Controller("health")
export class HealthController {
  constructor(
    private readonly database: Database,
    private readonly readiness: Readiness,
    private readonly storage: Storage,
    @Inject(OBJECT_STORAGE) private readonly objectStorage: ObjectStorage | null,
  ) {}

  @Get("live")
  @Header("cache-control", "no-store")
  @ApiOperation({ operationId: "getLiveness", summary: "Whether the process runs" })
  @ApiOkResponse({
    schema: { type: "object", required: ["status"], properties: { status: { type: "string", enum: ["live"] } } },
  })
  live(): { readonly status: "live" } {
    return { status: "live" };
  }

  @Get("ready")
  @Header("cache-control", "no-store")
  @ApiOperation({
    operationId: "getReadiness",
    summary:
      "Whether requests can be served: the database answers, there is room to store, what a start waits for is done, and the dataset's storage can be used",
  })
  @ApiOkResponse({
    schema: { type: "object", required: ["status"], properties: { status: { type: "string", enum: ["ready"] } } },
  })
  async ready(): Promise<{ readonly status: "ready" }> {
    try {
      await this.database.$queryRaw`SELECT 1`;
    } catch (cause) {
      throw notReady("The database does not answer.", ["database"], cause);
    }
    const { waitingFor } = this.readiness;
    if (waitingFor.length > 0)
      throw notReady(`The service starts and waits for: ${waitingFor.join(", ")}.`, waitingFor);
    const trouble = await this.storage.trouble();
    if (trouble) throw notReady(`Nothing can be stored. ${trouble} Reading goes on.`, ["storage"]);
    if (this.objectStorage && !(await this.objectStorage.isUsable()))
      throw notReady("The storage of the dataset cannot be used. Everything else goes on.", ["dataset-storage"]);
    return { status: "ready" };
  }
}

function notReady(detail: string, waitingFor: readonly WaitedFor[], cause?: unknown): Problem {
  return new Problem("not-ready", detail, { extensions: { waitingFor }, cause });
}
