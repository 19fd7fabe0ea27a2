import type { FastifyRequest } from "fastify";
import { ApiProblem } from "../api/api-problem.js";
import { html } from "../html/html.js";
import type { Page } from "../page.js";

/** What people are told for the status of an answer, and what they can do. */
const WORDS: Readonly<Record<number, readonly [title: string, advice: string]>> = {
  400: ["This address does not work", "It may have been cut off when it was copied. Start again from the rankings."],
  401: ["Please sign in", "Your session has ended or was never open."],
  403: ["This is not yours to open", "Another role is needed for this page."],
  404: ["There is no such page", "It may have been withdrawn or merged, or is not public yet."],
  422: ["Something in the address cannot be used", "What is wrong is listed below."],
  429: ["Too many requests", "Wait a little, then load the page again."],
  503: ["The service is busy", "Wait a few seconds, then load the page again."],
};

/** The page in place of one that cannot be shown. An unforeseen error is recorded and hidden. */
export function showError(error: unknown, request: FastifyRequest): Page {
  const status = statusOf(error);
  if (status >= 500 && !(error instanceof ApiProblem)) request.log.error({ err: error }, "unforeseen error");
  const [title, advice] = WORDS[status] ?? [
    "Something went wrong on our side",
    "It was recorded. Loading the page again in a while may help.",
  ];
  const problem = error instanceof ApiProblem ? error.body : null;
  return {
    title,
    status,
    body: html`<section class="notice" role="alert"><h1>${title}</h1><p>${advice}</p>
${problem && status < 500 && html`<p>${problem.detail}</p>`}
${problem?.errors && html`<ul>${problem.errors.map(({ pointer, message }) => html`<li>${pointer?.slice(1)} ${message}</li>`)}</ul>`}
<p><a href="/rankings">To the rankings</a></p>
<p class="small">When you report this, name ${request.id}.</p></section>`,
  };
}

function statusOf(error: unknown): number {
  const { status, statusCode } = error as { status?: unknown; statusCode?: unknown };
  const known = [status, statusCode].find((one) => typeof one === "number" && one >= 400);
  return typeof known === "number" ? known : 500;
}
