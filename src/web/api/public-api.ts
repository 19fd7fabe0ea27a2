import type { FastifyInstance, FastifyRequest } from "fastify";
import type { components, paths } from "../../generated/public-api.js";
import { clientOf } from "../../platform/client/client.js";
import { ApiProblem, type ProblemBody } from "./api-problem.js";
import { MergedPack } from "./merged-pack.js";

/** A view of the public API, by the name that its contract gives it. */
export type View<Name extends keyof components["schemas"]> = components["schemas"][Name];

type Method = "get" | "post" | "put" | "patch" | "delete";
type PathWith<M extends Method> = { [P in keyof paths]: paths[P][M] extends object ? P : never }[keyof paths];
type Operation<P extends keyof paths, M extends Method> = NonNullable<paths[P][M]>;
type Parameters<O, Place extends string> = O extends { parameters: { [K in Place]?: infer V } }
  ? NonNullable<V>
  : never;
type JsonOf<R> = R extends { content: { "application/json": infer Body } } ? Body : undefined;
type Answer<O> = O extends { responses: infer R }
  ? { [S in keyof R & (200 | 201 | 202 | 204)]: JsonOf<R[S]> }[keyof R & (200 | 201 | 202 | 204)]
  : never;
type BodyOf<O> = O extends { requestBody?: { content: { "application/json": infer Body } } } ? Body : undefined;

interface Asked<O> {
  readonly path?: Parameters<O, "path">;
  readonly query?: { readonly [K in keyof Parameters<O, "query">]?: Parameters<O, "query">[K] | null | undefined };
  readonly body?: BodyOf<O>;
}

/**
 * The public API as its contract declares it, asked in this process. It is all that a page knows of the service: whoever looks
 * at a page sees what a program without an account would be answered, under the same limits.
 */
export class PublicApi {
  constructor(
    private readonly server: FastifyInstance,
    private readonly request: FastifyRequest,
  ) {}

  /** @throws ApiProblem with what the API refused it by */
  get<P extends PathWith<"get">>(
    path: P,
    asked: Asked<Operation<P, "get">> = {},
  ): Promise<Answer<Operation<P, "get">>> {
    return this.ask("get", path, asked);
  }

  /** @throws ApiProblem with what the API refused it by, MergedPack where another pack answers for the one that was asked for */
  async ask<M extends Method, P extends PathWith<M>>(
    method: M,
    path: P,
    { path: names, query, body }: Asked<Operation<P, M>>,
  ): Promise<Answer<Operation<P, M>>> {
    const answer = await this.server.inject({
      method: method.toUpperCase() as "GET",
      url: urlOf(path, names ?? {}, query ?? {}),
      headers: { accept: "application/json", ...this.fields() },
      remoteAddress: clientOf(this.request).isThisMachine ? "127.0.0.1" : this.request.ip,
      ...(body === undefined ? {} : { payload: body as object }),
    });
    if (answer.statusCode === 308) throw mergedPack(names ?? {}, String(answer.headers.location));
    if (answer.statusCode >= 400) throw new ApiProblem(answer.json<ProblemBody>(), answer.headers["retry-after"]);
    return (answer.statusCode === 204 ? undefined : answer.json()) as Answer<Operation<P, M>>;
  }

  private fields(): Record<string, string> {
    return {
      // What another machine asks through a page is counted as its own (RFC 9110, 7.6.3).
      ...(clientOf(this.request).isThisMachine ? {} : { via: "1.1 page" }),
    };
  }
}

function urlOf(path: string, names: object, query: object): string {
  const filled = path.replace(/\{(\w+)\}/g, (_, name: string) =>
    encodeURIComponent(String((names as Record<string, unknown>)[name])),
  );
  const search = new URLSearchParams();
  for (const [name, value] of Object.entries(query)) {
    for (const one of [value].flat()) if (one !== null && one !== undefined) search.append(name, String(one));
  }
  return search.size > 0 ? `${filled}?${search}` : filled;
}

/** Only what lies below a pack is answered elsewhere (`FollowsMerges`). */
function mergedPack(names: object, location: string): MergedPack {
  const [, into = ""] = /^\/v1\/packs\/([^/?]+)/.exec(location) ?? [];
  return new MergedPack(String((names as Record<string, unknown>).id), into);
}
