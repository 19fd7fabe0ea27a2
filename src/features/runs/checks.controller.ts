import { Controller, HttpCode, Post, Req } from "@nestjs/common";
import { ApiBody, ApiConsumes, ApiExtraModels, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { FastifyRequest } from "fastify";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount } from "../../platform/auth/decorators.js";
import { CAUTION } from "../../platform/http/caution.js";
import { CheckInput } from "./check.views.js";
import { ChecksService } from "./checks.service.js";
import { CheckView, RunInput } from "./runs.views.js";
import { withUpload } from "./upload.js";
import { CHECK_UPLOAD } from "./upload-schema.js";

@ApiTags("runs")
@ApiExtraModels(CheckInput, RunInput)
@Controller("v1/checks")
export class ChecksController {
  constructor(private readonly checks: ChecksService) {}

  @Post()
  @HttpCode(200)
  @ApiOperation({
    summary: "What a run of this log would give; nothing is stored",
    description: `**Caution.** ${CAUTION}`,
  })
  @ApiConsumes("multipart/form-data")
  @ApiBody(CHECK_UPLOAD)
  @ApiOkResponse({ type: CheckView })
  check(@Req() request: FastifyRequest, @CurrentAccount() caller: Caller | null): Promise<CheckView> {
    return withUpload(request, (upload) => this.checks.check(upload, caller));
  }
}
