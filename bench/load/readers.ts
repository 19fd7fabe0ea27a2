import { fork } from "node:child_process";
import { once } from "node:events";
import { fileURLToPath } from "node:url";
import { getJson } from "../scale/load.js";
import type { Reading, Seen } from "./reader-process.js";
import { Times } from "./times.js";

interface Listed {
  readonly items: readonly { readonly id: string; readonly pack: { readonly id: string } }[];
}

/** What readers look at: rankings, packs, runs, comparisons and traces of the demo. */
export async function pagesOf(url: string): Promise<string[]> {
  const runs = (await getJson<Listed>(`${url}/v1/runs?first=2&protocol=full-load`)).items;
  const ranked = (await getJson<Listed>(`${url}/v1/rankings/power-10s?first=2`)).items;
  const packs = ranked.map(({ pack }) => pack.id);
  return [
    "/v1/rankings/power-10s",
    "/v1/rankings/capacity",
    "/v1/packs?first=20",
    `/v1/packs/${packs[0]}/standings`,
    `/v1/comparisons?packs=${packs}`,
    `/v1/runs/${runs[0]?.id}`,
    `/v1/runs/${runs[1]?.id}/trace?points=400`,
    "/v1/classes",
  ];
}

/** Readers in a process of their own: what testers make of their uploads takes no time from theirs. */
export async function read(
  url: string,
  pages: readonly string[],
  readers: number,
  signal: AbortSignal,
): Promise<Times> {
  const reading: Reading = { url, pages, readers };
  const child = fork(fileURLToPath(new URL("./reader-process.js", import.meta.url)), [JSON.stringify(reading)]);
  signal.addEventListener("abort", () => child.send("end"), { once: true });
  const [seen] = (await once(child, "message")) as [Seen[]];
  child.disconnect();
  const times = new Times();
  for (const { milliseconds, status, page } of seen) times.add(milliseconds, status, page);
  return times;
}
