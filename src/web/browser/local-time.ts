/** An instant as a field for date and time holds it: local, to the second. */
export function localText(instant: Date): string {
  const local = new Date(instant.getTime() - instant.getTimezoneOffset() * 60_000);
  return local.toISOString().slice(0, 19);
}
