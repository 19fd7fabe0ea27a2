import { Readable } from "node:stream";
import { Controller, Get, Req, Res } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { FastifyReply, FastifyRequest } from "fastify";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount } from "../../platform/auth/decorators.js";
import { headersOf } from "../../platform/http/open-api/headers.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { Gives } from "../../platform/http/requests/accept.guard.js";
import { ExportService } from "./export.service.js";

@ApiTags("accounts")
@Controller("v1/accounts/me/export")
export class ExportController {
  constructor(private readonly exportService: ExportService) {}

  @Get()
  @Authenticated()
  @Gives("application/zip")
  @Refuses("too-busy")
  @ApiOperation({
    operationId: "exportOwnData",
    summary: "Everything of yours as a ZIP archive: account, packs, specimens, benches, runs and their logs",
  })
  @ApiOkResponse({
    description: "The archive, made while it is sent",
    headers: headersOf("CacheControl", "ContentDisposition"),
    content: { "application/zip": { schema: { type: "string", format: "binary" } } },
  })
  async get(
    @CurrentAccount() caller: Caller,
    @Req() request: FastifyRequest,
    @Res() reply: FastifyReply,
  ): Promise<void> {
    reply.headers({
      "content-type": "application/zip",
      "content-disposition": `attachment; filename="packledger-${caller.handle}.zip"`,
      "cache-control": "private, no-store",
    });
    // Nobody reads the body of an answer to HEAD: an archive would be made for nothing, and wait for its reader for ever.
    await reply.send(request.method === "HEAD" ? Readable.from([]) : this.exportService.archive(caller));
  }
}
