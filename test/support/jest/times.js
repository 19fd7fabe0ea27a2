import { appendFileSync, existsSync, readFileSync } from "node:fs";
import { relative } from "node:path";

const file = process.env.JEST_TIMES;
const STATUS = "/proc/self/stat";
const TICKS_PER_SECOND = 100;

/** Seconds of processor time of this process with its threads and, on Linux, of its programs that have ended (proc(5), cutime and cstime). */
function spent() {
  const { user, system } = process.cpuUsage();
  const fields = existsSync(STATUS) ? readFileSync(STATUS, "latin1").split(") ")[1].split(" ") : [];
  const [ofUser = 0, ofSystem = 0] = fields.slice(13, 15).map(Number);
  return { own: (user + system) / 1e6, programs: (ofUser + ofSystem) / TICKS_PER_SECOND };
}

/** Where `JEST_TIMES` names a file: what appends to it, as a line of JSON, the processor time that a test file has taken since, s. */
export function timeFile(path) {
  if (!file) return () => undefined;
  const before = spent();
  return () => {
    const after = spent();
    const taken = { own: after.own - before.own, programs: after.programs - before.programs };
    const worker = { pid: process.pid, megabytes: Math.round(process.memoryUsage.rss() / 1e6) };
    appendFileSync(file, `${JSON.stringify({ path: relative(process.cwd(), path), ...taken, ...worker })}\n`);
  };
}
