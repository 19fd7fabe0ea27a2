import { type CanActivate, type ExecutionContext, Injectable, SetMetadata } from "@nestjs/common";
import { ROUTE_ARGS_METADATA } from "@nestjs/common/constants.js";
import { RouteParamtypes } from "@nestjs/common/enums/route-paramtypes.enum.js";
import { Reflector } from "@nestjs/core";
import type { FastifyRequest } from "fastify";
import { pointerTo } from "../../../core/inputs/input-error.js";
import { invalidInput } from "./input.pipe.js";

const ANY_QUERY = "takes any query";

/** The query is another service's to choose, such as an identity provider's, and may hold what is not known here. */
export function AnyQuery() {
  return SetMetadata(ANY_QUERY, true);
}

/**
 * Refuses query parameters where a handler takes none. Where it takes some, their class is validated, which refuses
 * others in the same words.
 */
@Injectable()
export class QueryGuard implements CanActivate {
  constructor(private readonly reflector: Reflector) {}

  canActivate(context: ExecutionContext): boolean {
    if (context.getType<string>() !== "http" || this.takesQuery(context)) return true;
    const unknown = Object.keys(context.switchToHttp().getRequest<FastifyRequest>().query as object);
    if (unknown.length === 0) return true;
    throw invalidInput(unknown.map((name) => ({ pointer: pointerTo("", name), message: "is not known here" })));
  }

  private takesQuery(context: ExecutionContext): boolean {
    const handler = context.getHandler();
    if (this.reflector.get<boolean | undefined>(ANY_QUERY, handler)) return true;
    const parameters: object = Reflect.getMetadata(ROUTE_ARGS_METADATA, context.getClass(), handler.name) ?? {};
    return Object.keys(parameters).some((key) => key.startsWith(`${RouteParamtypes.QUERY}:`));
  }
}
