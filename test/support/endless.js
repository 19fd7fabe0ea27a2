/** A computation that never ends. */
export function endless() {
  for (;;);
}

/** A computation that takes all the memory that there is. */
export function hoard() {
  for (let held = {}; ; ) held = { held };
}
