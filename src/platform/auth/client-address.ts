import { createParamDecorator, type ExecutionContext } from "@nestjs/common";
import { requestOf } from "./request-of.js";

/** The address that the request came from; behind a trusted proxy, the one that the proxy names. */
export const ClientAddress = createParamDecorator(
  (_: unknown, context: ExecutionContext): string => requestOf(context).ip,
);
