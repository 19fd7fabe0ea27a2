import { readdirSync, readFileSync } from "node:fs";
import { workerBeside } from "../../test/durability/processes.js";

/** Of the clock that /proc counts in: 100 a second on every Linux that Node runs on. */
const TICKS_PER_SECOND = 100;

/** Processor time that a process and all that descend from it have taken so far, s (proc(5), stat). */
export function processorSeconds(pid: number): number {
  const children = new Map<number, number[]>();
  const ticks = new Map<number, number>();
  for (const name of readdirSync("/proc").filter((entry) => /^\d+$/.test(entry))) {
    const fields = statOf(name);
    if (!fields) continue;
    const [parent, own] = [Number(fields[1]), Number(fields[11]) + Number(fields[12])];
    // What ended children have taken is theirs who waited for them.
    ticks.set(Number(name), own + Number(fields[13]) + Number(fields[14]));
    children.set(parent, [...(children.get(parent) ?? []), Number(name)]);
  }
  const sum = (id: number): number =>
    (children.get(id) ?? []).reduce((all, child) => all + sum(child), ticks.get(id) ?? 0);
  return sum(pid) / TICKS_PER_SECOND;
}

/** What its threads are called (Node 24), by what they do. */
const PARTS: Readonly<Record<string, string>> = {
  WorkerThread: "computing threads",
  V8Worker: "helpers",
  "libuv-worker": "files and packing",
};
const OWN_THREAD = "own thread";
const WORKER = "its worker";
/** Computing threads end when nobody needs them: what they took stands with their process alone. */
const ENDED = "computing threads";

/** The same by what took it: the service's threads by kind, its worker, and all other processes that descend from it together; s. */
export function processorParts(pid: number): Map<string, number> {
  const parts = new Map([OWN_THREAD, ...Object.values(PARTS), "database"].map((part) => [part, 0]));
  const add = (part: string, ticks: number) => parts.set(part, (parts.get(part) ?? 0) + ticks / TICKS_PER_SECOND);
  let left = 0;
  const whole = statOf(String(pid));
  if (whole) left = Number(whole[11]) + Number(whole[12]);
  for (const thread of readdirSync(`/proc/${pid}/task`)) {
    const fields = statOf(`${pid}/task/${thread}`);
    if (!fields) continue;
    const ticks = Number(fields[11]) + Number(fields[12]);
    add(Number(thread) === pid ? OWN_THREAD : (PARTS[fields.name] ?? "other threads"), ticks);
    left -= ticks;
  }
  add(ENDED, left);
  const worker = workerBeside(pid);
  parts.set(WORKER, worker === null ? 0 : processorSeconds(worker));
  const all = [...parts.values()].reduce((sum, seconds) => sum + seconds, 0);
  return parts.set("database", processorSeconds(pid) - all);
}

/** The name, and the fields from the third on, since the second may hold blanks; null when the process has ended meanwhile. */
function statOf(pid: string): (string[] & { readonly name: string }) | null {
  try {
    const text = readFileSync(`/proc/${pid}/stat`, "utf8");
    const end = text.lastIndexOf(")");
    return Object.assign(text.slice(end + 2).split(" "), { name: text.slice(text.indexOf("(") + 1, end) });
  } catch {
    return null;
  }
}
