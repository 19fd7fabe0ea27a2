import { applyDecorators, type CanActivate, type ExecutionContext, Injectable, SetMetadata } from "@nestjs/common";
import { HTTP_CODE_METADATA } from "@nestjs/common/constants.js";
import { Reflector } from "@nestjs/core";
import { ApiProduces } from "@nestjs/swagger";
import type { FastifyRequest } from "fastify";
import { Problem } from "../../problems/problem.js";

const GIVEN_TYPES = "given media types";

/** Media types of a handler that names none. */
const USUAL_TYPES: readonly string[] = ["application/json"];

/** The media types that the handler gives, the usual one first; a wildcard where it tells them only later. */
export function Gives(...types: readonly string[]) {
  return applyDecorators(SetMetadata(GIVEN_TYPES, types), ApiProduces(...types));
}

/**
 * The media types among which a handler's answer is chosen by `Accept`, the usual one first; empty where nothing is chosen: an answer without a body, or
 * one whose type the handler knows only later.
 */
export function negotiatedTypesOf(reflector: Reflector, handler: Parameters<Reflector["get"]>[1]): readonly string[] {
  if (reflector.get<number | undefined>(HTTP_CODE_METADATA, handler) === 204) return [];
  const types = reflector.get<readonly string[] | undefined>(GIVEN_TYPES, handler) ?? USUAL_TYPES;
  return types.includes("*/*") ? [] : types;
}

/**
 * Refuses what accepts none of the media types that the handler gives (RFC 9110, 12.5.1). A handler that
 * names a wildcard asks itself, once it knows its media type.
 */
@Injectable()
export class AcceptGuard implements CanActivate {
  constructor(private readonly reflector: Reflector) {}

  canActivate(context: ExecutionContext): boolean {
    if (context.getType<string>() !== "http") return true;
    const types = negotiatedTypesOf(this.reflector, context.getHandler());
    if (types.length > 0) acceptedType(context.switchToHttp().getRequest<FastifyRequest>(), types);
    return true;
  }
}

/**
 * The one of some media types that the client likes best; of several, the first.
 *
 * @throws Problem `not-acceptable` when it accepts none
 */
export function acceptedType(request: FastifyRequest, types: readonly string[]): string {
  const accepted = request.accepts().type([...types]);
  if (typeof accepted === "string") return accepted;
  throw new Problem("not-acceptable", `This comes as ${types.join(" or ")}. Accept one of these, or */*.`);
}
