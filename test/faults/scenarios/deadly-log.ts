import { readFileSync } from "node:fs";
import { setTimeout as delay } from "node:timers/promises";
import type { Scenario } from "../scenario.js";
import { trial } from "../trial.js";

/** How long the worker is looked at while it evaluates logs of a sensible size, ms; it may take so much more than these take, bytes. */
const USUAL_MS = 20_000;
const MORE_BYTES = 64 * 2 ** 20;
/** Rows of a log at which it takes more than that: a few less than are refused. */
const ROWS = 740_000;
const LOOK_MS = 1_000;
const WATCH_MS = 20;

/**
 * A worker meets a log that takes more memory than it may have, is ended as the kernel ends a program beyond its limit (SIGKILL), and is
 * started again each time.
 */
export const deadlyLog: Scenario = {
  name: "deadly-log",
  run({ say }) {
    return trial({ worksQueue: false }, async ({ worker }, crowd) => {
      const limit = (await most(worker.pid)) + MORE_BYTES;
      say(`the worker may take ${Math.round(limit / 2 ** 20)} MiB`);
      const watch = setInterval(() => endBeyond(worker.pid, limit), WATCH_MS);
      try {
        const id = await crowd.upload(crowd.first, 0, longLog(ROWS));
        for (let deaths = -1; ; ) {
          await worker.restartIfEnded();
          if (worker.endedByItself > deaths) say(`ended ${worker.endedByItself} times`);
          deaths = worker.endedByItself;
          const run = await crowd.show(crowd.first, id);
          if (run?.state === "failed") return { givenUp: [id], ...outcomeOf(deaths, run.error) };
          if (run?.state === "processed") return { done: "nothing", others: ["the worker had memory enough"] };
          await delay(LOOK_MS);
        }
      } finally {
        clearInterval(watch);
      }
    });
  },
};

function outcomeOf(deaths: number, error: unknown) {
  return {
    done: `a worker out of memory at one log ended ${deaths} times, and did the others meanwhile`,
    others: deaths > 0 ? [] : [`the log was refused, and no worker ended: ${JSON.stringify(error)}`],
  };
}

/** The most that a process takes in a while, bytes. */
async function most(pid: number | undefined): Promise<number> {
  let found = 0;
  for (let waitedMs = 0; waitedMs < USUAL_MS; waitedMs += WATCH_MS) {
    found = Math.max(found, bytesOf(pid));
    await delay(WATCH_MS);
  }
  return found;
}

/** Ends a process that takes more than it may. */
function endBeyond(pid: number | undefined, bytes: number): void {
  if (pid !== undefined && bytesOf(pid) > bytes) process.kill(pid, "SIGKILL");
}

/** The memory that a process takes, bytes; 0 when it has ended. */
function bytesOf(pid: number | undefined): number {
  try {
    const [, kibibytes = "0"] = /^VmRSS:\s+(\d+) kB$/m.exec(readFileSync(`/proc/${pid}/status`, "utf8")) ?? [];
    return Number(kibibytes) * 1024;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "ENOENT" && (error as NodeJS.ErrnoException).code !== "ESRCH")
      throw error;
    return 0;
  }
}

/** A discharge of 4 cells at 20 A in three minutes, logged far too fast. */
function longLog(rows: number): string {
  const lines = ["time_s,voltage_v,current_a,temperature_c"];
  for (let row = 0; row < rows; row++) {
    const seconds = (190 * row) / rows;
    const isLoaded = seconds >= 4 && seconds < 184;
    const volts = isLoaded ? 15.9 - 0.017 * (seconds - 4) + 0.002 * (row % 3) : 16.7;
    lines.push(
      `${seconds.toFixed(5)},${volts.toFixed(3)},${isLoaded ? "20.01" : "0.00"},${(21 + seconds / 20).toFixed(1)}`,
    );
  }
  return `${lines.join("\n")}\n`;
}
