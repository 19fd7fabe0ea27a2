import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { parseArgs } from "node:util";
import { ServiceUnderAttack } from "../../test/abuse/hostile/service.js";
import { logNumber } from "../../test/durability/league-logs.js";
import { send } from "../scale/load.js";
import { processorParts, processorSeconds } from "./processes.js";
import { pagesOf, read } from "./readers.js";
import { CAPACITIES_MAH, gather, upload } from "./testers.js";
import type { Times } from "./times.js";

// Testers who upload without pause beside readers who look at a page a second, at one service with its demo and its embedded
// database: what is evaluated a second and what a run costs, and how readers fare against a time without uploads.

const { values } = parseArgs({
  options: {
    testers: { type: "string", default: "20" },
    readers: { type: "string", default: "20" },
    seconds: { type: "string", default: "60" },
    logs: { type: "string" },
  },
});
const [testers, readers, seconds] = [Number(values.testers), Number(values.readers), Number(values.seconds)];
/** More than are evaluated in the time. */
const LOGS_PER_SECOND = 20;
/** Longest time that readers are looked at alone, s. */
const MAX_ALONE_SECONDS = 60;
/** Parts of the run whose peaks of memory are told apart. */
const PARTS = 4;

const folder = await mkdtemp(join(tmpdir(), "packledger-load-"));
const service = new ServiceUnderAttack(folder);
try {
  const logs = await writeLogs(Number(values.logs ?? seconds * LOGS_PER_SECOND));
  const url = await service.start();
  const pages = await pagesOf(url);
  const gathered = await gather(url, testers);
  await settled(url);

  await read(url, pages, readers, AbortSignal.timeout(5_000));
  const idle = await read(url, pages, readers, AbortSignal.timeout(1000 * Math.min(MAX_ALONE_SECONDS, seconds / 2)));
  console.log(`readers alone         ${idle.inWords}`);
  printPages(pages, idle);

  const before = {
    seconds: processorSeconds(service.pid),
    parts: processorParts(service.pid),
    evaluated: await evaluated(url),
  };
  const begun = performance.now();
  const end = AbortSignal.timeout(seconds * 1000);
  const [uploads, beside, peaks] = await Promise.all([
    upload(url, gathered, logs, end),
    read(url, pages, readers, end),
    peaksDuring(end),
  ]);
  const inTime = (await evaluated(url)) - before.evaluated;
  console.log(`readers beside        ${beside.inWords}`);
  printPages(pages, beside);
  console.log(`uploads               ${uploads.inWords}`);
  for (const [n, whose] of ["service", "worker"].entries()) {
    const inWords = peaks.map((peak) => peak[n]?.toFixed(0)).join(", ");
    console.log(`peak of memory        ${inWords} MiB in each quarter, ${whose}`);
  }
  const [alone, loaded] = [idle.percentile(99), beside.percentile(99)];
  console.log(`readers' p99          ${(loaded / alone).toFixed(1)} times that of readers alone`);
  console.log(`evaluated in time     ${inTime}: ${(inTime / seconds).toFixed(1)} a second`);
  const left = await settled(url, seconds);
  const all = (await evaluated(url)) - before.evaluated;
  const taken = (performance.now() - begun) / 1000;
  const cost = (1000 * (processorSeconds(service.pid) - before.seconds)) / all;
  console.log(`evaluated in all      ${all}, and followed up, within ${taken.toFixed(0)} s`);
  console.log(`processor time a run  ${cost.toFixed(0)} ms, with its comparison, the database and the readers' part`);
  for (const [part, after] of processorParts(service.pid)) {
    const taken = (1000 * (after - (before.parts.get(part) ?? 0))) / all;
    console.log(`  ${part.padEnd(19)} ${taken.toFixed(0)} ms`);
  }
  if (left > 0) console.log(`not in it             ${left} jobs that had not been done so long after the uploads' end`);
} finally {
  await service.stop();
  await rm(folder, { recursive: true });
}

function printPages(pages: readonly string[], times: Times): void {
  for (const [number, page] of pages.entries()) {
    console.log(`  ${page.replace(/[0-9a-f-]{36}/g, "...").padEnd(38)} ${times.parts.get(number)?.inWords}`);
  }
}

async function writeLogs(count: number): Promise<string[]> {
  const files: string[] = [];
  for (let number = 0; number < count; number++) {
    const file = join(folder, `${number}.csv`);
    await writeFile(file, logNumber(number, CAPACITIES_MAH[number % CAPACITIES_MAH.length] as number));
    files.push(file);
  }
  return files;
}

/** Runs that the service has evaluated since it started. */
async function evaluated(url: string): Promise<number> {
  const text = (await send({ url: `${url}/metrics` })).text;
  return [...text.matchAll(/^packledger_evaluation_seconds_count(?:\{[^}]*\})? (\d+)/gm)].reduce(
    (sum, [, count]) => sum + Number(count),
    0,
  );
}

/** Resolves when no job waits or is at work, or when the time is over, with how many are left. */
async function settled(url: string, withinSeconds = Number.POSITIVE_INFINITY): Promise<number> {
  const end = performance.now() + 1000 * withinSeconds;
  let left = 0;
  for (let quiet = 0; quiet < 3 && performance.now() < end; ) {
    const { text } = await send({ url: `${url}/metrics` });
    const jobs = [...text.matchAll(/^packledger_queued_jobs\{[^}]*\} (\d+)/gm)].map(([, count]) => Number(count));
    left = jobs.reduce((sum, count) => sum + count, 0);
    quiet = left === 0 ? quiet + 1 : 0;
    await delay(300);
  }
  return left;
}

async function peaksDuring(end: AbortSignal): Promise<number[][]> {
  const peaks: number[][] = [];
  while (!end.aborted && peaks.length < PARTS) {
    await service.forgetPeak();
    await delay((seconds * 1000) / PARTS);
    peaks.push(await service.peaksMebibytes());
  }
  return peaks;
}
