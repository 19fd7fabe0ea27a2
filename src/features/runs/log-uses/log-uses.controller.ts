import { Controller, HttpCode, Post, Req, Res } from "@nestjs/common";
import { ApiBody, ApiConsumes, ApiExtraModels, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { FastifyReply, FastifyRequest } from "fastify";
import { USE_CAUTIONS } from "../../../core/use/cautions.js";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount, KeyScope } from "../../../platform/auth/decorators.js";
import { type Client, FromClient } from "../../../platform/client/client.js";
import { LOG_PROBLEMS, Refuses } from "../../../platform/http/open-api/refuses.js";
import { Idempotency } from "../../../platform/idempotency/idempotency.js";
import { Storage } from "../../../platform/storage/storage.js";
import { LOG_USE_UPLOAD, payloadOfLogUse, withLogUse } from "./log-use-upload.js";
import { LogUsesService } from "./log-uses.service.js";
import { LogReadingInput, LogUseView } from "./log-uses.views.js";

@ApiTags("predictions")
@ApiExtraModels(LogReadingInput)
@Controller("v1/uses")
export class LogUsesController {
  constructor(
    private readonly logUsesService: LogUsesService,
    private readonly idempotency: Idempotency,
    private readonly storage: Storage,
  ) {}

  @Post()
  @HttpCode(200)
  @KeyScope("read")
  @Refuses("malformed-multipart", ...LOG_PROBLEMS)
  @ApiOperation({
    operationId: "makeUseOfLog",
    summary:
      "What a log shows was drawn, as the steps of a use: ask predictions and selections what packs do under it; nothing is stored",
    description: `**Caution.** ${USE_CAUTIONS.join(" ")}`,
  })
  @ApiConsumes("multipart/form-data")
  @ApiBody(LOG_USE_UPLOAD)
  @ApiOkResponse({ type: LogUseView })
  use(
    @Req() request: FastifyRequest,
    @CurrentAccount() caller: Caller | null,
    @FromClient() client: Client,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<LogUseView | string> {
    return withLogUse(
      request,
      (bytes) => this.storage.requireSpace(bytes),
      (upload) =>
        this.idempotency.once(request, reply, payloadOfLogUse(upload), () =>
          this.logUsesService.use(upload, caller, client.network),
        ),
    );
  }
}
