import { mkdtemp, rm } from "node:fs/promises";
import { Agent, get } from "node:http";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { ServiceUnderAttack } from "../test/abuse/hostile/service.js";

// What is saved: requests a second whose answers are made, are those that others were given before, and say "you have it" (304), of the same
// reads of the same process in the same run. With `-- --url URL` of a running service that has its demo, else of one of its own.

const { values } = parseArgs({ options: { url: { type: "string" }, seconds: { type: "string", default: "3" } } });
const CONNECTIONS = 8;
const agent = new Agent({ keepAlive: true, maxSockets: CONNECTIONS });

interface Answer {
  readonly status: number;
  readonly etag: string;
  readonly text: string;
}

let names = 0;

/** @param isNew under a name of the service that nobody has asked under, so that the answer is made */
function ask(url: string, etag = "", isNew = false): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const headers = {
      ...(etag ? { "if-none-match": etag } : {}),
      ...(isNew ? { host: `name-${names++}.example` } : {}),
    };
    get(url, { agent, headers }, (response) => {
      const chunks: Buffer[] = [];
      response.on("data", (chunk: Buffer) => chunks.push(chunk));
      response.on("end", () => {
        const { statusCode: status = 0, headers: got } = response;
        resolve({ status, etag: String(got.etag), text: Buffer.concat(chunks).toString("utf8") });
      });
    }).on("error", reject);
  });
}

/** Answers a second, while several connections ask as fast as they are answered. */
async function rate(url: string, status: number, { etag = "", isNew = false } = {}): Promise<number> {
  const from = performance.now();
  const until = from + Number(values.seconds) * 1_000;
  let answers = 0;
  const reader = async () => {
    while (performance.now() < until) {
      const answer = await ask(url, etag, isNew);
      if (answer.status !== status) throw new Error(`${url} was answered ${answer.status}`);
      answers++;
    }
  };
  await Promise.all(Array.from({ length: CONNECTIONS }, reader));
  return (answers * 1_000) / (performance.now() - from);
}

async function readsOf(url: string): Promise<string[]> {
  const itemsOf = async <T>(path: string) => (JSON.parse((await ask(url + path)).text) as { items: T[] }).items;
  const [first, second] = await itemsOf<{ id: string; pack: { id: string } }>("/v1/runs?first=2&protocol=full-load");
  const ladders = await itemsOf<{ specimen: { id: string } }>("/v1/runs?first=1&protocol=current-ladder");
  const ranked = await itemsOf<{ pack: { id: string } }>("/v1/rankings/power-10s?first=2");
  const packs = ranked.map(({ pack }) => pack.id);
  return [
    `/v1/runs/${first?.id}`,
    `/v1/runs/${first?.id}/trace`,
    `/v1/comparisons?runs=${first?.id},${second?.id}`,
    `/v1/comparisons?packs=${packs}`,
    `/v1/ladders/${ladders[0]?.specimen.id}`,
    `/v1/rankings/power-10s/packs/${packs[0]}`,
    `/v1/packs/${packs[0]}/standings`,
    "/v1/classes",
    "/v1/figures?first=100",
    "/v1/runs",
  ];
}

const folder = await mkdtemp(join(tmpdir(), "packledger-reads-"));
const service = new ServiceUnderAttack(folder);
try {
  const url = values.url ?? (await service.start());
  console.log("read".padEnd(44), ...["bytes", "made/s", "again/s", "304/s"].map((title) => title.padStart(9)));
  for (const path of await readsOf(url)) {
    const whole = await ask(url + path);
    const rates = [
      await rate(url + path, 200, { isNew: true }),
      await rate(url + path, 200),
      await rate(url + path, 304, { etag: whole.etag }),
    ];
    const numbers = [whole.text.length, ...rates].map((number) => number.toFixed(0).padStart(9));
    const name = path.replace(/[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}/g, "{id}");
    console.log(name.padEnd(44), ...numbers);
  }
} finally {
  agent.destroy();
  await service.stop();
  await rm(folder, { recursive: true, force: true });
}
