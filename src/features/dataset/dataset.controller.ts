import { Controller, Get, Param, Req, Res } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiResponse, ApiTags } from "@nestjs/swagger";
import type { FastifyReply, FastifyRequest } from "fastify";
import { Conditional, type ConditionalRead } from "../../platform/http/answers/conditional.js";
import { headersOf } from "../../platform/http/open-api/headers.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { Gives } from "../../platform/http/requests/accept.guard.js";
import { sendLog } from "../runs/log/logs.service.js";
import { DatasetService } from "./dataset.service.js";
import { mediaTypeOf } from "./descriptor.js";
import { FORMATS } from "./part.js";

const DESCRIPTOR = {
  description: "A data package (Data Package, version 2): tables of the record, each with its files, bytes and SHA-256",
  content: { "application/json": { schema: { type: "object", additionalProperties: true } } },
} as const;
/** Those of files, and of bytes to whoever wants nothing but these. */
const FILE_TYPES = [...FORMATS.map(mediaTypeOf), "application/octet-stream"];
const FILE = { "*/*": { schema: { type: "string", format: "binary" } } } as const;

@ApiTags("open record")
@Controller("v1/dataset")
export class DatasetController {
  constructor(private readonly datasetService: DatasetService) {}

  @Get()
  @Refuses("not-ready")
  @ApiOperation({
    operationId: "getDataset",
    summary: "The whole public record of the day as a data package: what its files are and where",
  })
  @ApiOkResponse(DESCRIPTOR)
  newest(@Conditional() conditional: ConditionalRead): Promise<object | undefined> {
    return conditional.unlessCurrent(
      () => this.datasetService.newest(),
      async (snapshot) => this.datasetService.describe(snapshot, `dataset/${snapshot.id}/`),
    );
  }

  @Get(":snapshot/datapackage.json")
  @Refuses("not-found")
  @ApiOperation({ operationId: "getDatasetSnapshot", summary: "One of the last seven snapshots as a data package" })
  @ApiOkResponse(DESCRIPTOR)
  snapshot(@Param("snapshot") id: string, @Conditional() conditional: ConditionalRead): Promise<object | undefined> {
    return conditional.unlessCurrent(
      () => this.datasetService.find(id),
      async (snapshot) => this.datasetService.describe(snapshot, ""),
    );
  }

  @Get(":snapshot/:kind/:year/:month/:file")
  @Gives(...FILE_TYPES)
  @Refuses("not-found", "range-not-satisfiable")
  @ApiOperation({
    operationId: "getDatasetFile",
    summary: "A file of a snapshot, CSV or Apache Parquet, at the path that its data package says",
  })
  @ApiOkResponse({
    description: "All of it",
    headers: headersOf("AcceptRanges", "ContentDisposition", "ReprDigest", "UnencodedDigest"),
    content: FILE,
  })
  @ApiResponse({
    status: 206,
    description: "The bytes of `Range`",
    headers: headersOf("AcceptRanges", "ContentRange", "ContentDisposition", "ReprDigest"),
    content: FILE,
  })
  async file(
    @Param("snapshot") id: string,
    @Param("kind") kind: string,
    @Param("year") year: string,
    @Param("month") month: string,
    @Param("file") file: string,
    @Req() request: FastifyRequest,
    @Res() reply: FastifyReply,
  ): Promise<void> {
    await sendLog(await this.datasetService.file(id, [kind, year, month, file].join("/")), request, reply);
  }
}
