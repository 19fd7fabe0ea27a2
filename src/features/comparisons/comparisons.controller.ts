import { Controller, Get, Query, Req, Res } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { FastifyReply, FastifyRequest } from "fastify";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount } from "../../platform/auth/decorators.js";
import { Gives } from "../../platform/http/accept.guard.js";
import { Conditional, type ConditionalRead } from "../../platform/http/conditional.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { comparisonCsv, comparisonMarkdown } from "./comparison-tables.js";
import { type Compared, ComparisonsService } from "./comparisons.service.js";
import { ComparisonQuery, ComparisonView } from "./comparisons.views.js";

const TABLE = { schema: { type: "string" } } as const;

/** A comparison as JSON or as a table; the ending of the address says which. */
@ApiTags("comparisons")
@Controller("v1")
export class ComparisonsController {
  constructor(private readonly comparisonsService: ComparisonsService) {}

  @Get("comparisons")
  @Refuses("not-found")
  @ApiOperation({
    operationId: "getComparison",
    summary: "Packs or runs side by side, in percent of a baseline",
  })
  @ApiOkResponse({ type: ComparisonView })
  compare(
    @Query() query: ComparisonQuery,
    @CurrentAccount() caller: Caller | null,
    @Conditional() conditional: ConditionalRead,
  ): Promise<ComparisonView | undefined> {
    return this.read(query, caller, conditional, (compared) => this.comparisonsService.compare(compared, caller));
  }

  @Get("comparisons.csv")
  @Refuses("not-found")
  @ApiOperation({
    operationId: "getComparisonCsv",
    summary: "A comparison as CSV (RFC 4180): a row for each figure of each column",
  })
  @Gives("text/csv")
  @ApiOkResponse({ content: { "text/csv": TABLE } })
  csv(
    @Query() query: ComparisonQuery,
    @CurrentAccount() caller: Caller | null,
    @Res({ passthrough: true }) reply: FastifyReply,
    @Conditional() conditional: ConditionalRead,
  ): Promise<string | undefined> {
    return this.read(query, caller, conditional, async (compared) => {
      const table = await this.comparisonsService.table(compared, caller);
      reply.header("content-type", "text/csv; charset=utf-8; header=present");
      return comparisonCsv(table);
    });
  }

  @Get("comparisons.md")
  @Refuses("not-found")
  @ApiOperation({
    operationId: "getComparisonMarkdown",
    summary: "A comparison as Markdown tables that paste into a forum post",
  })
  @Gives("text/markdown")
  @ApiOkResponse({ content: { "text/markdown": TABLE } })
  markdown(
    @Query() query: ComparisonQuery,
    @CurrentAccount() caller: Caller | null,
    @Req() request: FastifyRequest,
    @Res({ passthrough: true }) reply: FastifyReply,
    @Conditional() conditional: ConditionalRead,
  ): Promise<string | undefined> {
    return this.read(query, caller, conditional, async (compared) => {
      const table = await this.comparisonsService.table(compared, caller);
      reply.header("content-type", "text/markdown; charset=utf-8; variant=GFM");
      return comparisonMarkdown(table, `${request.protocol}://${request.host}${table.link}`);
    });
  }

  private read<T>(
    { packs, runs, ...options }: ComparisonQuery,
    caller: Caller | null,
    conditional: ConditionalRead,
    answer: (compared: Compared) => Promise<T>,
  ): Promise<T | undefined> {
    const compared = { packs: packs?.split(",") ?? null, runs: runs?.split(",") ?? null };
    return conditional.unlessCurrent(
      () => this.comparisonsService.revision(compared, caller),
      () => answer({ ...options, ...compared }),
    );
  }
}
