import { mkdtemp } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { parseArgs } from "node:util";
import { Client } from "pg";
import { hashOfToken, newToken } from "../../src/platform/auth/tokens.js";
import { type Asked, send, timesOf } from "./load.js";
import { openStage } from "./stage.js";

const { values } = parseArgs({
  options: {
    packs: { type: "string", default: "5000" },
    waiting: { type: "string", default: "100000" },
    times: { type: "string", default: "30" },
  },
});
const [packs, waiting, times] = [Number(values.packs), Number(values.waiting), Number(values.times)];
const TOKEN = newToken();
const MODERATOR = "00000009-0000-7000-8000-000000000001";
const headers = { authorization: `Bearer ${TOKEN}` };
const say = (line: string) => console.log(line);
const ms = (value: number) => (value < 10 ? value.toFixed(1) : value.toFixed(0));

interface Page {
  readonly items: readonly { readonly risk: { readonly score: number } | null }[];
  readonly pageInfo: { readonly endCursor: string };
}

const folder = await mkdtemp(join(tmpdir(), "packledger-queue-"));
const runs = waiting + 10 * packs;
const stage = await openStage(folder, { packs, runs, runsOfOne: 1_000, waiting }, say);
const client = new Client({ connectionString: stage.ownerConnectionString });
try {
  await client.connect();
  await client.query("INSERT INTO account (id, handle, role) VALUES ($1, 'queue-moderator', 'moderator')", [MODERATOR]);
  await client.query(
    "INSERT INTO session (id, token_hash, account_id, expires_at) VALUES (gen_random_uuid(), $1, $2, now() + interval '1 day')",
    [hashOfToken(TOKEN), MODERATOR],
  );
  const first: Asked = { url: `${stage.service}/v1/reviews`, headers };
  const row = async (name: string, asked: Asked, before?: () => Promise<unknown>) => {
    const taken = await timesOf(asked, times, before);
    say(`| ${name} | ${ms(taken.median)} | ${ms(taken.worst)} |`);
  };
  say(`| ${waiting} waiting runs | median, ms | worst, ms |`);
  say("| --- | --- | --- |");
  await row("first page while all are scored for the first time", first);
  const begun = performance.now();
  for (let left = -1; left !== 0; await delay(500)) {
    const { rows } = await client.query<{ left: number }>(
      "SELECT (SELECT count(*) FROM review_score WHERE stale)::int + (SELECT count(*) FROM review_score_due)::int AS left",
    );
    left = rows[0]?.left ?? 0;
  }
  const seconds = Math.round((performance.now() - begun) / 1000);
  await client.query("VACUUM (ANALYZE) review_score");
  await row("first page", first);
  let cursor = "";
  for (let page = 1; page < 100; page++) {
    const { text } = await send({ url: `${first.url}${cursor && `?after=${cursor}`}`, headers });
    cursor = (JSON.parse(text) as Page).pageInfo.endCursor;
  }
  await row("page 100", { url: `${first.url}?after=${cursor}`, headers });
  await row("page 98, backward from page 99's end", { url: `${first.url}?last=25&before=${cursor}`, headers });
  const query = "{ reviews(first: 25) { totalCount edges { node { id risk { score } } } } }";
  const body = JSON.stringify({ query });
  await row("first page with the count, GraphQL", { url: `${stage.service}/graphql`, headers, body });
  await row("first page, each after another standing changed", first, () => stage.decide());
  say(`the rest was scored in ${seconds} s from the end of the first row on`);
} finally {
  await client.end();
  await stage.close();
}
