import type { IncomingMessage } from "node:http";
import accepts from "accepts";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { MergedPack } from "./api/merged-pack.js";
import { PublicApi } from "./api/public-api.js";
import { Assets } from "./assets.js";
import { layOut } from "./layout.js";
import { type Page, pageFields, type ShowPage } from "./page.js";
import { showCheck } from "./pages/check/check.js";
import { showChoice } from "./pages/choose/choose.js";
import { showComparison } from "./pages/compare/compare.js";
import { showDesk } from "./pages/desk/desk.js";
import { showError } from "./pages/error.js";
import { showFront } from "./pages/front.js";
import { showPacks } from "./pages/packs/list.js";
import { showPack } from "./pages/packs/pack.js";
import { showPlan } from "./pages/plan/plan.js";
import { showRankings } from "./pages/rankings/rankings.js";

/** Pages by the patterns of their addresses. */
const PAGES: Readonly<Record<string, ShowPage>> = {
  "/rankings": showRankings,
  "/packs": showPacks,
  "/packs/:id": showPack,
  "/compare": showComparison,
  "/choose": showChoice,
  "/plan": showPlan,
  "/check": showCheck,
  "/desk": showDesk,
};

/** Tells browsers, which are shown a page at `/`, from programs, which are told where to look. */
const FOR_READERS = "reader";

const READS = new Set(["GET", "HEAD"]);

const prefersHtml = (request: IncomingMessage): boolean => accepts(request).type(["json", "html"]) === "html";

/** What pages of other origins are given nothing of. */
const OWN_ORIGIN = { config: { cors: false } as object };

/** Pages for people, made of answers of the public API. */
export async function servePages(server: FastifyInstance): Promise<void> {
  const assets = await Assets.read();
  server.addConstraintStrategy({
    name: FOR_READERS,
    storage: () => {
      const handlers = new Map<unknown, never>();
      return {
        get: (key) => handlers.get(key) ?? null,
        set: (key, handler) => void handlers.set(key, handler as never),
      };
    },
    deriveConstraint: (request) => (prefersHtml(request as IncomingMessage) ? "browser" : undefined),
    mustMatchWhenDerived: false,
  });
  await server.register(async (scope) => {
    assets.serve(scope);
    scope.setErrorHandler((error, request, reply) =>
      // A merge can be undone: browsers do not keep where the address leads.
      error instanceof MergedPack
        ? reply.redirect(request.url.replaceAll(error.asked, error.into), 302)
        : answer(request, reply, showError(error, request)),
    );
    const show = (page: ShowPage) => async (request: FastifyRequest, reply: FastifyReply) =>
      answer(request, reply, await page(pageRequest(server, request)));
    scope.get("/", { ...OWN_ORIGIN, constraints: { [FOR_READERS]: "browser" } }, show(showFront));
    for (const [pattern, page] of Object.entries(PAGES)) scope.get(pattern, OWN_ORIGIN, show(page));
  });

  // After the hook that answers 405 where the address takes another method.
  server.addHook("onRequest", async (request, reply) => {
    if (!request.is404 || !READS.has(request.method) || !prefersHtml(request.raw)) return;
    return answer(
      request,
      reply.header("vary", "accept").header("cache-control", "no-store"),
      showError({ status: 404 }, request),
    );
  });

  function answer(request: FastifyRequest, reply: FastifyReply, page: Page): FastifyReply {
    const [path = ""] = request.url.split("?", 1);
    return pageFields(reply)
      .status(page.status ?? 200)
      .send(layOut(page, path, assets));
  }
}

function pageRequest(server: FastifyInstance, request: FastifyRequest) {
  return {
    api: new PublicApi(server, request),
    names: request.params as Record<string, string>,
    query: new URLSearchParams(request.url.split("?")[1] ?? ""),
  };
}
