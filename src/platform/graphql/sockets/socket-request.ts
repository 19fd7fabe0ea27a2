import type { FastifyRequest } from "fastify";

type Parameters = Readonly<Record<string, unknown>> | undefined;

/** A browser cannot set header fields of a socket: the session comes with `connection_init`. */
function authorizationOf(request: FastifyRequest, parameters: Parameters): string | undefined {
  const { authorization, headers } = parameters ?? {};
  const nested = (headers as Parameters)?.authorization;
  return request.headers.authorization ?? [authorization, nested].find((one): one is string => typeof one === "string");
}

/** The token of a session or the key that came, in whatever form; undefined when none did, null when what came cannot be one. */
export function credentialOf(request: FastifyRequest, parameters: Parameters): string | null | undefined {
  const authorization = authorizationOf(request, parameters);
  if (authorization === undefined) return undefined;
  return /^Bearer ([\w-]{43,50})$/i.exec(authorization)?.[1] ?? null;
}

/** The request as if this one subscription had come by itself, to be counted, and to look up again who asks. */
export function requestWith(request: FastifyRequest, parameters: Parameters): FastifyRequest {
  const authorization = authorizationOf(request, parameters);
  const headers = authorization === undefined ? request.headers : { ...request.headers, authorization };
  return Object.create(request, { headers: { value: headers } }) as FastifyRequest;
}
