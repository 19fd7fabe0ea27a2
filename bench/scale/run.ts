import { mkdtemp } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { contest } from "./contest.js";
import { fillSynthetic, packId } from "./fill.js";
import { requirePage } from "./graphql-peer.js";
import { rateOf, send, timesOf } from "./load.js";
import { pagesOf, type RankingPage } from "./rankings.js";
import { openStage, type Stage } from "./stage.js";

const { values } = parseArgs({
  options: {
    packs: { type: "string", default: "50000" },
    runs: { type: "string", default: "1000000" },
    synthetic: { type: "string", default: "1000000" },
    seconds: { type: "string", default: "4" },
    rounds: { type: "string", default: "3" },
    connections: { type: "string", default: "8" },
  },
});
const number = (name: keyof typeof values) => Number(values[name]);
const effort = { rounds: number("rounds"), seconds: number("seconds"), connections: number("connections") };
const packs = number("packs");
const runs = number("runs");
const synthetic = number("synthetic");
const say = (line: string) => console.log(line);
const ms = (value: number) => (value < 10 ? value.toFixed(2) : value.toFixed(0));
const row = (...cells: readonly (string | number)[]) => say(`| ${cells.join(" | ")} |`);
const heading = (...cells: readonly string[]) => {
  say("");
  row(...cells);
  row(...cells.map(() => "---"));
};

/** Does something while one decision a second changes standings. */
async function whileDecided<T>(stage: Stage, work: () => Promise<T>): Promise<T> {
  const failed: unknown[] = [];
  const timer = setInterval(() => void stage.decide().catch((error: unknown) => failed.push(error)), 1_000);
  const done = await work().finally(() => clearInterval(timer));
  if (failed.length > 0) throw failed[0];
  return done;
}

async function contests(stage: Stage, pages: readonly (readonly [string, RankingPage])[]): Promise<void> {
  heading("page, one decision a second", "requests/s", "bare handler", "ratio", "p99, ms", "bare p99, ms");
  for (const [name, page] of pages) {
    const peer = { url: stage.peer + page.peerPath };
    const url = stage.service + page.path;
    const body = JSON.stringify({ query: page.graphql });
    for (const [api, status] of [
      ["REST", 200],
      ["REST, 304", 304],
      ["GraphQL", 200],
    ] as const) {
      // What a reader has stays current only where nothing changes.
      const etag = status === 304 ? String((await send({ url })).headers.etag) : "";
      const asked =
        api === "GraphQL"
          ? { url: `${stage.service}/graphql`, body }
          : { url, ...(etag ? { headers: { "if-none-match": etag } } : {}) };
      const ask = () => contest(asked, peer, effort, status);
      const { ours, peer: theirs, ratio } = await (status === 304 ? ask() : whileDecided(stage, ask));
      row(
        `${name}, ${api}`,
        ours.perSecond.toFixed(0),
        theirs.perSecond.toFixed(0),
        ratio.toFixed(2),
        ms(ours.p99Ms),
        ms(theirs.p99Ms),
      );
    }
  }
}

/** GraphQL beside GraphQL, while standings change. */
async function graphqlContests(
  stage: Stage,
  peer: string,
  pages: readonly (readonly [string, RankingPage])[],
): Promise<void> {
  heading("page by GraphQL, one decision a second", "requests/s", "PostGraphile", "ratio", "p99, ms", "its p99, ms");
  for (const [name, { graphql, peerGraphql }] of pages) {
    await requirePage(peer, peerGraphql);
    const ours = { url: `${stage.service}/graphql`, body: JSON.stringify({ query: graphql }) };
    const theirs = { url: peer, body: JSON.stringify({ query: peerGraphql }) };
    const { ours: own, peer: other, ratio } = await whileDecided(stage, () => contest(ours, theirs, effort));
    row(name, own.perSecond.toFixed(0), other.perSecond.toFixed(0), ratio.toFixed(2), ms(own.p99Ms), ms(other.p99Ms));
  }
}

async function firstReads(
  stage: Stage,
  title: string,
  pages: readonly (readonly [string, RankingPage])[],
): Promise<void> {
  heading(title, "REST, ms", "worst", "GraphQL, ms", "worst");
  for (const [name, page] of pages) {
    const decide = () => stage.decide();
    const rest = await timesOf({ url: stage.service + page.path }, 15, decide);
    const body = JSON.stringify({ query: page.graphql });
    const graphql = await timesOf({ url: `${stage.service}/graphql`, body }, 15, decide);
    row(name, ms(rest.median), ms(rest.worst), ms(graphql.median), ms(graphql.worst));
  }
}

const named = (name: string, pages: readonly RankingPage[]) =>
  pages.map((page) => [`${name}, ${page.name}`, page] as const);

const folder = await mkdtemp(join(tmpdir(), "packledger-scale-"));
const small = await openStage(join(folder, "small"), { packs: 500, runs: 2_000, runsOfOne: 200 }, say);
const smallPages = await pagesOf(small, { figure: "power-10s", load: 80, numbers: [1] });
await firstReads(small, "first read after a change, 500 packs", named("all", smallPages));
const smallRate = await whileDecided(small, () =>
  rateOf({ url: small.service + (smallPages[0] as RankingPage).path }, 200, effort.connections, effort.seconds),
);
await small.close();

const stage = await openStage(join(folder, "large"), { packs, runs, runsOfOne: Math.min(10_000, runs) }, say, true);
try {
  const begun = performance.now();
  const all = named("all", await pagesOf(stage, { figure: "power-10s", load: 80, numbers: [1, 100, 1000] }));
  say(`rankings read, and 1,000 pages walked, in ${Math.round(performance.now() - begun)} ms`);
  const filter = "&chemistry=lipo&series=4";
  const inClass = named("lipo 4S", await pagesOf(stage, { figure: "power-10s", load: 80, filter, numbers: [1, 100] }));
  await contests(stage, [...all, ...inClass]);
  if (stage.graphqlPeer) await graphqlContests(stage, stage.graphqlPeer, [...all, ...inClass]);
  await firstReads(stage, `first read after a change, ${packs} packs`, [...all, ...inClass]);
  const largeRate = await whileDecided(stage, () =>
    rateOf({ url: stage.service + (all[0] as (typeof all)[0])[1].path }, 200, effort.connections, effort.seconds),
  );
  say(
    `requests/s of the first page with 500 packs over those with ${packs}: ${(smallRate.perSecond / largeRate.perSecond).toFixed(2)}`,
  );

  const eight = Array.from({ length: 8 }, (_, i) => packId(2 + i * 11)).join(",");
  heading("other reads", "median, ms", "worst, ms");
  for (const [name, path] of [
    ["a pack", `/v1/packs/${packId(77)}`],
    ["its place in every ranking", `/v1/packs/${packId(77)}/standings`],
    [`runs of a pack with ${Math.min(10_000, runs)} runs`, `/v1/packs/${packId(1)}/runs`],
    ["runs of a usual pack", `/v1/packs/${packId(77)}/runs`],
    ["comparison of eight packs", `/v1/comparisons?packs=${eight}`],
    ["classes, first counted and then kept", "/v1/classes"],
    ["search by name", "/v1/packs?search=pack%204711"],
    ["search by a misspelt name", "/v1/packs?search=maekr%204711"],
    ["newest runs", "/v1/runs"],
  ] as const) {
    const taken = await timesOf({ url: stage.service + path }, 15);
    row(name, ms(taken.median), ms(taken.worst));
  }

  if (synthetic > packs) {
    const filling = performance.now();
    await fillSynthetic(stage.ownerConnectionString, packs, synthetic);
    say(`${synthetic} standings by another figure filled in ${Math.round((performance.now() - filling) / 1000)} s`);
    const many = named("all", await pagesOf(stage, { figure: "power-30s", load: 80, numbers: [1] }));
    const loading = performance.now();
    for (const [, page] of many) await send({ url: stage.service + page.path });
    say(`read into memory in ${Math.round(performance.now() - loading)} ms`);
    const others = [
      ...named("all", (await pagesOf(stage, { figure: "power-30s", load: 80, numbers: [1, 100, 1000] })).slice(1)),
      ...named("lipo 4S", await pagesOf(stage, { figure: "power-30s", load: 80, filter, numbers: [1, 100] })),
      ...named(
        "worst",
        await pagesOf(stage, { figure: "power-30s", load: 80, filter: "&order=worst-first", numbers: [1] }),
      ),
    ];
    await firstReads(stage, `first read after a change, ${synthetic} standings`, [...many, ...others]);
  }
} finally {
  await stage.close();
}
