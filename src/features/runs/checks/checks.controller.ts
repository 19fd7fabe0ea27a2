import { Controller, HttpCode, Post, Req, Res } from "@nestjs/common";
import { ApiBody, ApiConsumes, ApiExtraModels, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { FastifyReply, FastifyRequest } from "fastify";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount, KeyScope } from "../../../platform/auth/decorators.js";
import { type Client, FromClient } from "../../../platform/client/client.js";
import { CAUTION } from "../../../platform/http/caution.js";
import { LOG_PROBLEMS, Refuses } from "../../../platform/http/open-api/refuses.js";
import { Idempotency } from "../../../platform/idempotency/idempotency.js";
import { Storage } from "../../../platform/storage/storage.js";
import { CheckView } from "../runs.views.js";
import { RunInput } from "../upload/run-inputs.js";
import { payloadOf, withUpload } from "../upload/upload.js";
import { CHECK_UPLOAD } from "../upload/upload-schema.js";
import { CheckInput } from "./check.views.js";
import { ChecksService } from "./checks.service.js";

@ApiTags("runs")
@ApiExtraModels(CheckInput, RunInput)
@Controller("v1/checks")
export class ChecksController {
  constructor(
    private readonly checksService: ChecksService,
    private readonly idempotency: Idempotency,
    private readonly storage: Storage,
  ) {}

  @Post()
  @HttpCode(200)
  @KeyScope("read")
  @Refuses("malformed-multipart", "unknown-reference", "session-required", ...LOG_PROBLEMS)
  @ApiOperation({
    operationId: "checkLog",
    summary: "What a run of this log would give; nothing is stored",
    description: `**Caution.** ${CAUTION}`,
  })
  @ApiConsumes("multipart/form-data")
  @ApiBody(CHECK_UPLOAD)
  @ApiOkResponse({ type: CheckView })
  check(
    @Req() request: FastifyRequest,
    @CurrentAccount() caller: Caller | null,
    @FromClient() client: Client,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<CheckView | string> {
    return withUpload(
      request,
      (bytes) => this.storage.requireSpace(bytes),
      (upload) =>
        this.idempotency.once(request, reply, payloadOf(upload), () =>
          this.checksService.check(upload, caller, client.network),
        ),
    );
  }
}
