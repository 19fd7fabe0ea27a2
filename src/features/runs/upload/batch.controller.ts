import { Controller, HttpCode, Post, Req, Res } from "@nestjs/common";
import { ApiBody, ApiConsumes, ApiExtraModels, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { FastifyReply, FastifyRequest } from "fastify";
import type { Caller } from "../../../platform/auth/account.js";
import { Authenticated, CurrentAccount } from "../../../platform/auth/decorators.js";
import { CAUTION } from "../../../platform/http/caution.js";
import { Refuses } from "../../../platform/http/open-api/refuses.js";
import { Idempotency } from "../../../platform/idempotency/idempotency.js";
import { Storage } from "../../../platform/storage/storage.js";
import { BatchService } from "./batch.service.js";
import { BatchManifest, BatchView } from "./batch.views.js";
import { payloadOfBatch, withBatch } from "./batch-upload.js";
import { BATCH_UPLOAD } from "./upload-schema.js";
import { UploadTurns } from "./upload-turns.js";

@ApiTags("runs")
@ApiExtraModels(BatchManifest)
@Controller("v1/runs/batch")
export class BatchController {
  constructor(
    private readonly batchService: BatchService,
    private readonly idempotency: Idempotency,
    private readonly storage: Storage,
    private readonly uploadTurns: UploadTurns,
  ) {}

  @Post()
  @Authenticated()
  @HttpCode(200)
  @Refuses("malformed-multipart")
  @ApiOperation({
    summary: "Upload several runs; each is stored or refused on its own",
    description: `**Caution.** ${CAUTION}`,
  })
  @ApiConsumes("multipart/form-data")
  @ApiBody(BATCH_UPLOAD)
  @ApiOkResponse({ type: BatchView })
  upload(
    @Req() request: FastifyRequest,
    @CurrentAccount() caller: Caller,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<BatchView | string> {
    return withBatch(
      request,
      async (bytes) => {
        await this.uploadTurns.take(caller.id);
        await this.storage.requireRoom(bytes);
      },
      (batch) =>
        this.idempotency.once(request, reply, payloadOfBatch(batch), async () => ({
          items: await this.batchService.upload(batch, caller, request.id),
        })),
    );
  }
}
