import { setTimeout as delay } from "node:timers/promises";
import { getJson, send } from "../scale/load.js";
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

/** Readers, each at an address of its own, who look at a page once a second until they are told to leave. */
export async function read(
  url: string,
  pages: readonly string[],
  readers: number,
  signal: AbortSignal,
): Promise<Times> {
  const times = new Times();
  const reader = async (number: number) => {
    // Spread over the second, so that they do not ask together.
    await delay((1000 * number) / readers);
    for (let page = number; !signal.aborted; page++) {
      const begun = performance.now();
      const asked = {
        url: url + pages[page % pages.length],
        headers: { "x-forwarded-for": `198.51.100.${number % 256}` },
      };
      const status = await send(asked).then(
        (answer) => answer.status,
        () => 0,
      );
      const taken = performance.now() - begun;
      times.add(taken, status);
      await delay(Math.max(0, 1000 - taken));
    }
  };
  await Promise.all(Array.from({ length: readers }, (_, number) => reader(number)));
  return times;
}
