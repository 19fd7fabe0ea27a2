import type { ChangeView } from "./changes.views.js";
import { namedUuid } from "./named-uuid.js";

/** Which record the feed is of, and where it and the service are, as their readers reach them. */
export interface FeedSource {
  readonly recordId: string;
  /** Scheme, host and port. */
  readonly origin: string;
  readonly self: string;
}

/**
 * Changes as an Atom feed (RFC 4287), the newest one first as readers of feeds expect. Ids follow from the record alone, so that
 * they never change, wherever the feed is read (4.2.6).
 *
 * @param changes in the order in which they happened
 * @param emptySince what an empty feed says of when it was updated, RFC 3339
 */
export function atomFeed(
  changes: readonly ChangeView[],
  { recordId, origin, self }: FeedSource,
  emptySince: string,
): string {
  const entries = changes.toReversed().map((change) => entryOf(change, recordId, origin));
  return [
    '<?xml version="1.0" encoding="utf-8"?>',
    '<feed xmlns="http://www.w3.org/2005/Atom">',
    element("id", idOf(recordId, "changes")),
    element("title", "Changes of the public record of battery packs"),
    element("updated", changes.at(-1)?.changedAt ?? emptySince),
    link("self", self, "application/atom+xml"),
    link("alternate", `${origin}/v1/changes`, "application/json"),
    `<author>${element("name", "Packledger")}<uri>${escaped(origin)}</uri></author>`,
    element("rights", "CC BY 4.0, https://creativecommons.org/licenses/by/4.0/"),
    ...entries,
    "</feed>",
    "",
  ].join("\n");
}

function entryOf(change: ChangeView, recordId: string, origin: string): string {
  const { position, changedAt, kind, event, subjectId, state } = change;
  return [
    "<entry>",
    element("id", idOf(recordId, `change ${position} of ${changedAt}`)),
    element("title", titleOf(change)),
    element("updated", changedAt),
    link("alternate", `${origin}${addressOf(change)}`, "application/json"),
    `<category term="${escaped(kind)}"/>`,
    `<category term="${escaped(event)}"/>`,
    `<content type="text">${escaped(`${kind} ${subjectId}: ${event}; ${MEANINGS[state] ?? state}.`)}</content>`,
    "</entry>",
  ].join("");
}

const MEANINGS: Readonly<Record<string, string>> = {
  current: "it is public",
  superseded: "it is public, and changed again later",
  removed: "it is not public any more",
};

const NOUNS: Readonly<Record<string, string>> = {
  pack: "Pack",
  run: "Run",
  tester: "Tester",
  standings: "Standings",
};

function titleOf({ kind, event, pack, run, tester }: ChangeView): string {
  const named = pack ?? run?.pack;
  const name = named ? `: ${named.maker} ${named.name}, ${named.series}S` : tester ? `: ${tester.handle}` : "";
  const by = run ? `, measured by ${run.tester.handle}` : "";
  return `${NOUNS[kind] ?? kind} ${event}${name}${by}`;
}

function addressOf({ kind, subjectId, tester }: ChangeView): string {
  if (kind === "run") return `/v1/runs/${subjectId}`;
  if (kind === "pack") return `/v1/packs/${subjectId}`;
  if (kind === "standings") return `/v1/packs/${subjectId}/standings`;
  return tester ? `/v1/testers/${encodeURIComponent(tester.handle)}` : "/v1/changes";
}

const idOf = (recordId: string, name: string): string => `urn:uuid:${namedUuid(recordId, name)}`;

const element = (name: string, text: string): string => `<${name}>${escaped(text)}</${name}>`;

const link = (rel: string, href: string, type: string): string =>
  `<link rel="${rel}" href="${escaped(href)}" type="${type}"/>`;

/** Characters that XML 1.0 allows (2.2), those of markup as references (2.4). */
function escaped(text: string): string {
  return text
    .toWellFormed()
    .replace(/[^\t\n\r\u0020-\uFFFD\u{10000}-\u{10FFFF}]/gu, "\uFFFD")
    .replace(/[&<>"']/g, (sign) => `&#${sign.charCodeAt(0)};`);
}
