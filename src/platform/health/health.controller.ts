import { Controller, Get, Header } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import { Database } from "../database/database.js";
import { Problem } from "../problems/problem.js";

@ApiTags("operation")
@Controller("health")
export class HealthController {
  constructor(private readonly database: Database) {}

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
  @ApiOperation({ operationId: "getReadiness", summary: "Whether requests can be served: the database answers" })
  @ApiOkResponse({
    schema: { type: "object", required: ["status"], properties: { status: { type: "string", enum: ["ready"] } } },
  })
  async ready(): Promise<{ readonly status: "ready" }> {
    try {
      await this.database.$queryRaw`SELECT 1`;
    } catch (cause) {
      throw new Problem("not-ready", "The database does not answer.", { cause });
    }
    return { status: "ready" };
  }
}
