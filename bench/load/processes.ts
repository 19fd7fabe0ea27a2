import { readdirSync, readFileSync } from "node:fs";

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

/** From the third field on, since the second may hold blanks; null when the process has ended meanwhile. */
function statOf(pid: string): string[] | null {
  try {
    const text = readFileSync(`/proc/${pid}/stat`, "utf8");
    return text.slice(text.lastIndexOf(")") + 2).split(" ");
  } catch {
    return null;
  }
}
