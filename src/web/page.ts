import type { FastifyReply } from "fastify";
import type { PublicApi } from "./api/public-api.js";
import type { Html } from "./html/html.js";

/** What a page is made from. */
export interface PageRequest {
  readonly api: PublicApi;
  /** Parts of the address, by their names in its pattern. */
  readonly names: Readonly<Record<string, string>>;
  readonly query: URLSearchParams;
}

/** What is shown: the layout is put around it. */
export interface Page {
  readonly title: string;
  readonly body: Html;
  readonly status?: number;
  /** Entries of `src/web/browser/entries` as the build names them; `page.js` alone when left out. */
  readonly scripts?: readonly string[];
}

export type ShowPage = (request: PageRequest) => Promise<Page>;

/** Sends nothing of a page on to other origins, and loads nothing from them. */
const POLICY = [
  "default-src 'none'",
  "script-src 'self'",
  "style-src 'self'",
  "img-src 'self' data: blob:",
  "connect-src 'self'",
  "worker-src 'self'",
  "form-action 'self'",
  "base-uri 'none'",
  "frame-ancestors 'none'",
].join("; ");

export const pageFields = (reply: FastifyReply): FastifyReply =>
  reply
    .header("content-type", "text/html; charset=utf-8")
    .header("content-security-policy", POLICY)
    .header("referrer-policy", "same-origin");
