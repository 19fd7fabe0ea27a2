// A thread beside a worker's tests: ends the worker when its jest has ended, also while a test keeps it from noticing.
import { readFileSync } from "node:fs";

const parent = process.ppid;

/** It may have ended before this began, and be another process's child by now: that is no jest. */
const isOrphan = process.platform === "linux" && !commandOf(parent).includes("jest");

function commandOf(pid) {
  try {
    return readFileSync(`/proc/${pid}/cmdline`, "utf8");
  } catch {
    // It ended this very moment.
    return "";
  }
}

function end() {
  process.kill(process.pid, "SIGKILL");
}

if (isOrphan) end();
setInterval(() => {
  if (process.ppid !== parent) end();
}, 200);
