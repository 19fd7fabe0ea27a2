import { type CallHandler, type ExecutionContext, Injectable, type NestInterceptor } from "@nestjs/common";
import type { FastifyReply, FastifyRequest } from "fastify";
import { lastValueFrom, type Observable, of } from "rxjs";
import { sayHowToCache } from "../../platform/http/answers/entity-tag.js";
import { PacksService } from "./packs.service.js";

/** Answers 308 with the address under the pack that the one in the address was merged into; without one, what was asked for. */
@Injectable()
export class MergedPacksInterceptor implements NestInterceptor {
  constructor(private readonly packsService: PacksService) {}

  async intercept(context: ExecutionContext, next: CallHandler<unknown>): Promise<Observable<unknown>> {
    const request = context.switchToHttp().getRequest<FastifyRequest>();
    const reply = context.switchToHttp().getResponse<FastifyReply>();
    const outcome = await Promise.allSettled([lastValueFrom(next.handle(), { defaultValue: undefined })]);
    const isCurrent = reply.statusCode === 304;
    const location = isCurrent ? null : await this.locationOf(request);
    if (location) {
      reply.removeHeader("etag").status(308).header("location", location);
      // A merge can be undone, and a cache may keep a 308 by itself (RFC 9110, 15.1).
      sayHowToCache(request, reply);
      return of(undefined);
    }
    if (outcome[0].status === "rejected") throw outcome[0].reason;
    return of(outcome[0].value);
  }

  private async locationOf({ url, params }: FastifyRequest): Promise<string | null> {
    const { packId, id } = params as { packId?: string; id?: string };
    const asked = packId ?? id ?? "";
    const intoId = await this.packsService.mergedInto(asked);
    if (intoId === null) return null;
    const [path = "", ...query] = url.split("?");
    const segments = path.split("/").map((segment) => (decodeURIComponent(segment) === asked ? intoId : segment));
    return [segments.join("/"), ...query].join("?");
  }
}
