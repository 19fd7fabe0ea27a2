import { getPriority } from "node:os";

/** A computation that never ends. */
export function endless() {
  for (;;);
}

/** A computation that takes all the memory that there is. */
export function hoard() {
  for (let held = {}; ; ) held = { held };
}

/** A wait that never ends and costs nothing. */
export function doze() {
  Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0);
}

/** The nice value of the thread that it runs on. */
export function niceness() {
  return getPriority();
}
