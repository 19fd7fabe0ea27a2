import { setTimeout as delay } from "node:timers/promises";
import { send } from "../scale/load.js";

// Run by `readers.ts` as a process of its own: readers, each at an address of its own, who look at a page once a second until they are
// told to leave; then it tells what they saw. It ends with whoever started it.

export interface Reading {
  readonly url: string;
  readonly pages: readonly string[];
  readonly readers: number;
}

export interface Seen {
  readonly milliseconds: number;
  /** 0 without an answer. */
  readonly status: number;
  /** Its place among the pages. */
  readonly page: number;
}

const { url, pages, readers } = JSON.parse(process.argv[2] ?? "") as Reading;
const seen: Seen[] = [];
let isOver = false;
process.on("message", () => {
  isOver = true;
});
process.once("disconnect", () => process.exit());

await Promise.all(Array.from({ length: readers }, (_, number) => reader(number)));
process.send?.(seen);

async function reader(number: number): Promise<void> {
  // Spread over the second, so that they do not ask together.
  await delay((1000 * number) / readers);
  for (let turn = number; !isOver; turn++) {
    const page = turn % pages.length;
    const headers = { "x-forwarded-for": `198.51.100.${number % 256}` };
    const begun = performance.now();
    const status = await send({ url: `${url}${pages[page]}`, headers }).then(
      (answer) => answer.status,
      () => 0,
    );
    const milliseconds = performance.now() - begun;
    seen.push({ milliseconds, status, page });
    await delay(Math.max(0, 1000 - milliseconds));
  }
}
