/** A computation that never ends. */
export function endless() {
  for (;;);
}
