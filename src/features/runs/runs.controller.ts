import { Body, Controller, Delete, Get, Header, HttpCode, Param, Patch, Post, Query, Req, Res } from "@nestjs/common";
import {
  ApiAcceptedResponse,
  ApiBody,
  ApiConsumes,
  ApiCreatedResponse,
  ApiExtraModels,
  ApiHeader,
  ApiNoContentResponse,
  ApiOkResponse,
  ApiOperation,
  ApiResponse,
  ApiTags,
  getSchemaPath,
} from "@nestjs/swagger";
import type { FastifyReply, FastifyRequest } from "fastify";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { Conditional, type ConditionalRead } from "../../platform/http/answers/conditional.js";
import { CAUTION } from "../../platform/http/caution.js";
import { headersOf } from "../../platform/http/open-api/headers.js";
import { LOG_PROBLEMS, Refuses } from "../../platform/http/open-api/refuses.js";
import { ReadsReplica } from "../../platform/http/reads-replica.js";
import { acceptedType, Gives } from "../../platform/http/requests/accept.guard.js";
import { type AskedForm, GetInForms, InForm } from "../../platform/http/requests/forms.js";
import { Idempotency } from "../../platform/idempotency/idempotency.js";
import { Pictures } from "../../platform/pictures/pictures.js";
import { PictureQuery } from "../../platform/pictures/pictures.views.js";
import { Storage } from "../../platform/storage/storage.js";
import { WithdrawalExcuseInput } from "./decisions/withdrawal-excuse.views.js";
import { WithdrawalsService } from "./decisions/withdrawals.service.js";
import { runChart } from "./forms/run-chart.js";
import { runCsv, runMarkdown } from "./forms/run-tables.js";
import { LogsService } from "./log/logs.service.js";
import { sendLog } from "./log/send-log.js";
import { RunMovesService } from "./moves/run-moves.service.js";
import { RunMoveInput } from "./moves/run-moves.views.js";
import { runList } from "./run-list.js";
import { RunList, RunListQuery } from "./run-list.views.js";
import { RunsService } from "./runs.service.js";
import { RunView } from "./runs.views.js";
import { TracesService, traceCsv } from "./trace/traces.service.js";
import { TraceQuery, TraceView } from "./trace/traces.views.js";
import { payloadOf, withUpload } from "./upload/upload.js";
import { RUN_UPLOAD } from "./upload/upload-schema.js";
import { UploadTurns } from "./upload/upload-turns.js";
import { STATUS_OF_OUTCOME, UploadsService } from "./upload/uploads.service.js";

@ApiTags("runs")
@ApiExtraModels(TraceView)
@Controller("v1/runs")
export class RunsController {
  constructor(
    private readonly runsService: RunsService,
    private readonly uploadsService: UploadsService,
    private readonly withdrawalsService: WithdrawalsService,
    private readonly runMovesService: RunMovesService,
    private readonly logsService: LogsService,
    private readonly tracesService: TracesService,
    private readonly pictures: Pictures,
    private readonly idempotency: Idempotency,
    private readonly storage: Storage,
    private readonly uploadTurns: UploadTurns,
  ) {}

  @Post()
  @Authenticated()
  @Refuses("malformed-multipart", "unknown-reference", "already-exists", "quota-reached", ...LOG_PROBLEMS)
  @ApiOperation({ summary: "Upload a run", description: `**Caution.** ${CAUTION}` })
  @ApiConsumes("multipart/form-data")
  @ApiBody(RUN_UPLOAD)
  @ApiCreatedResponse({ headers: headersOf("Location"), type: RunView, description: "The run, evaluated" })
  @ApiAcceptedResponse({ headers: headersOf("Location"), type: RunView, description: "The run, queued" })
  @ApiOkResponse({ headers: headersOf("Location"), type: RunView, description: "The run that this log gave before" })
  upload(
    @Req() request: FastifyRequest,
    @CurrentAccount() caller: Caller,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<RunView | string> {
    return withUpload(
      request,
      async (bytes) => {
        await this.uploadTurns.take(caller.id);
        await this.storage.requireRoom(bytes);
      },
      (upload) =>
        this.idempotency.once(request, reply, payloadOf(upload), async () => {
          const { run, outcome } = await this.uploadsService.upload(upload, caller);
          reply.status(STATUS_OF_OUTCOME[outcome]).header("location", `/v1/runs/${run.id}`);
          return run;
        }),
    );
  }

  @Get()
  @ReadsReplica()
  @Refuses("session-required", "not-found")
  @ApiOperation({ summary: "Runs that you may see: accepted ones, or as the filters say; newest first" })
  @ApiOkResponse({ type: RunList })
  list(
    @Query() query: RunListQuery,
    @CurrentAccount() caller: Caller | null,
    @Conditional() conditional: ConditionalRead,
  ) {
    return runList(this.runsService, query, caller, conditional);
  }

  @GetInForms(":id", RunView)
  @ReadsReplica()
  @ApiOperation({ summary: "A run" })
  get(
    @Param("id") id: string,
    @Query() options: PictureQuery,
    @CurrentAccount() caller: Caller | null,
    @InForm() asked: AskedForm,
    @Conditional() conditional: ConditionalRead,
  ): Promise<RunView | string | Buffer | undefined> {
    const run = () => this.runsService.get(id, caller);
    return conditional.keptUnlessCurrent(
      async () => [await this.runsService.ref(id, caller), asked.version],
      () =>
        asked.answer(
          this.pictures,
          {
            json: run,
            csv: async () => runCsv(await run()),
            md: async ({ address }) => runMarkdown(await run(), address),
            chart: async (source) => runChart(await run(), await this.tracesService.drawn(id, caller), source),
          },
          options,
        ),
    );
  }

  @Get(":id/log")
  @ApiHeader({
    name: "Range",
    required: false,
    description: "Bytes that are wanted (RFC 9110, 14.2)",
    schema: { type: "string", example: "bytes=0-1023" },
  })
  @Refuses("range-not-satisfiable", "log-removed")
  @ApiOperation({ operationId: "getRunLog", summary: "The uploaded bytes, exactly" })
  @Gives("*/*")
  @ApiOkResponse({
    description: "All of it, under the media type that it was uploaded with",
    headers: headersOf("AcceptRanges", "ContentDisposition", "ReprDigest", "UnencodedDigest"),
    content: { "*/*": { schema: { type: "string", format: "binary" } } },
  })
  @ApiResponse({
    status: 206,
    description: "The bytes of `Range`",
    headers: headersOf("AcceptRanges", "ContentRange", "ContentDisposition", "ReprDigest"),
    content: { "*/*": { schema: { type: "string", format: "binary" } } },
  })
  async log(
    @Param("id") id: string,
    @CurrentAccount() caller: Caller | null,
    @Req() request: FastifyRequest,
    @Res() reply: FastifyReply,
  ): Promise<void> {
    await sendLog(await this.logsService.get(id, caller), request, reply);
  }

  @Get(":id/trace")
  @ReadsReplica()
  @ApiOperation({ operationId: "getRunTrace", summary: "The trace, reduced for a chart; CSV by `Accept: text/csv`" })
  @Gives("application/json", "text/csv")
  @ApiOkResponse({
    content: {
      "application/json": { schema: { $ref: getSchemaPath(TraceView) } },
      "text/csv": { schema: { type: "string" } },
    },
  })
  async trace(
    @Param("id") id: string,
    @Query() { channels, ...options }: TraceQuery,
    @CurrentAccount() caller: Caller | null,
    @Req() request: FastifyRequest,
    @Res({ passthrough: true }) reply: FastifyReply,
    @Conditional() conditional: ConditionalRead,
  ): Promise<TraceView | string | Buffer | undefined> {
    return conditional.keptUnlessCurrent(
      () => this.runsService.ref(id, caller),
      async () => {
        const trace = await this.tracesService.get(id, { ...options, channels: channels ?? null }, caller);
        if (acceptedType(request, ["application/json", "text/csv"]) === "application/json") return trace;
        reply.header("content-type", "text/csv; charset=utf-8; header=present");
        return traceCsv(trace);
      },
    );
  }

  @Patch(":id")
  @Authenticated()
  @Refuses("role-required", "decision-not-possible", "unknown-reference", "already-exists")
  @ApiOperation({
    operationId: "moveRun",
    summary: "Move a run to the specimen or pack that it is of; it is evaluated anew",
  })
  @ApiOkResponse({ type: RunView })
  move(@Param("id") id: string, @Body() input: RunMoveInput, @CurrentAccount() caller: Caller): Promise<RunView> {
    return this.runMovesService.move(id, input, caller);
  }

  @Post(":id/withdrawal-excuse")
  @Roles("moderator")
  @HttpCode(200)
  @Refuses("role-required", "decision-not-possible")
  @ApiOperation({
    operationId: "excuseWithdrawal",
    summary: "Accept why a run was withdrawn when its figures had been seen: it leaves its tester's means",
  })
  @ApiOkResponse({ type: RunView })
  excuse(
    @Param("id") id: string,
    @Body() { note }: WithdrawalExcuseInput,
    @CurrentAccount() caller: Caller,
  ): Promise<RunView> {
    return this.withdrawalsService.excuseWithdrawal(id, note, caller);
  }

  @Delete(":id")
  @Authenticated()
  @HttpCode(204)
  @Header("cache-control", "no-store")
  @Refuses("role-required", "decision-not-possible")
  @ApiOperation({ summary: "Withdraw your run; it stays in the record" })
  @ApiNoContentResponse()
  withdraw(@Param("id") id: string, @CurrentAccount() caller: Caller): Promise<void> {
    return this.withdrawalsService.withdraw(id, caller);
  }
}
