import { Controller, Get, Inject, Query, Req, Res } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { FastifyReply, FastifyRequest } from "fastify";
import { CONFIG, type Config } from "../../platform/config/config.js";
import { Conditional, type ConditionalRead } from "../../platform/http/answers/conditional.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { ReadsReplica } from "../../platform/http/reads-replica.js";
import { Gives } from "../../platform/http/requests/accept.guard.js";
import { PageArgs, toList } from "../../platform/paging/page.js";
import { partsOfMembers, RunsService } from "../runs/runs.service.js";
import { atomFeed } from "./atom-feed.js";
import { ChangesService, type ReadRuns } from "./changes.service.js";
import { ChangeList } from "./changes.views.js";

/** Entries of the feed. */
const FEED_ENTRIES = 50;
/** For titles, the pack and the tester of a run are enough. */
const HEADS = partsOfMembers([]);
const BEFORE_EVERYTHING = "1970-01-01T00:00:00.000Z";

@ApiTags("open record")
@Controller("v1")
export class ChangesController {
  constructor(
    private readonly changesService: ChangesService,
    private readonly runsService: RunsService,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  @Get("changes")
  @ReadsReplica()
  @Refuses("record-restored")
  @ApiOperation({
    operationId: "listChanges",
    summary: "Every change of the public record, in order, with what there is now of what changed",
    description:
      "Keep the last cursor and ask again: no change ever appears behind a cursor that was given out. A mirror that " +
      "puts what is `current` and deletes what is `removed` equals the public record. A cursor from before the record was restored " +
      "from a backup that lacks its change is 410 `record-restored`: begin anew.",
  })
  @ApiOkResponse({ type: ChangeList })
  list(@Query() args: PageArgs, @Conditional() conditional: ConditionalRead) {
    return conditional.unlessCurrent(
      () => this.changesService.newest(),
      async () => toList(await this.changesService.list(args, this.readRuns())),
    );
  }

  @Get("changes.atom")
  @ReadsReplica()
  @Gives("application/atom+xml")
  @ApiOperation({
    operationId: "getChangesFeed",
    summary: "The newest 50 changes as an Atom feed (RFC 4287)",
  })
  @ApiOkResponse({ content: { "application/atom+xml": { schema: { type: "string" } } } })
  feed(
    @Req() request: FastifyRequest,
    @Res({ passthrough: true }) reply: FastifyReply,
    @Conditional() conditional: ConditionalRead,
  ): Promise<string | undefined> {
    const origin = this.config.publicUrl?.href.replace(/\/$/, "") ?? `${request.protocol}://${request.host}`;
    return conditional.unlessCurrent(
      () => this.changesService.newest(),
      async () => {
        const { items } = await this.changesService.list({ last: FEED_ENTRIES }, this.readRuns(HEADS));
        reply.header("content-type", "application/atom+xml; charset=utf-8");
        const recordId = await this.changesService.recordId();
        return atomFeed(items, { recordId, origin, self: `${origin}${request.url}` }, BEFORE_EVERYTHING);
      },
    );
  }

  private readRuns(parts?: typeof HEADS): ReadRuns {
    return async (ids) => {
      const runs = await this.runsService.getMany(ids, null, parts);
      return new Map(runs.map((run) => [run.id, run]));
    };
  }
}
