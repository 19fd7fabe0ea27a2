const MINUTE = 60;
const HOUR = 3_600;

/** How long something takes, in the units that people at a bench count in: "45 s", "3 min 20 s", "5 h 2 min". */
export function duration(seconds: number): string {
  const whole = Math.round(seconds);
  if (whole < 2 * MINUTE) return `${whole < 10 ? Number(seconds.toPrecision(2)) : whole}\u00a0s`;
  if (whole < HOUR) return joined([Math.floor(whole / MINUTE), "min"], [whole % MINUTE, "s"]);
  const minutes = Math.round(seconds / MINUTE);
  return joined([Math.floor(minutes / MINUTE), "h"], [minutes % MINUTE, "min"]);
}

const joined = (...parts: readonly (readonly [count: number, unit: string])[]): string =>
  parts.flatMap(([count, unit]) => (count > 0 ? [`${count}\u00a0${unit}`] : [])).join(" ");
