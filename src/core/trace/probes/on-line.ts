/** Three samples lie on one line, K, whose times are written to so much, s, ... */
const ON_A_LINE_K = 1e-7;
const TIME_DIGIT_S = 1e-3;
/** ... and it was drawn, where digits are no coarser than this share of what a sample changes by. All limits CP. */
const MAX_DIGIT_SHARE = 0.34;

/** Whether a sample lies on a sloping line through its neighbours, finer than digits would have it. */
export function isOnLine(time: Float64Array, celsius: Float64Array, at: number, digitK: number): boolean {
  if (at < 1 || at + 1 >= time.length) return false;
  const [t0, t1, t2] = [time[at - 1], time[at], time[at + 1]] as [number, number, number];
  const [c0, c1, c2] = [celsius[at - 1], celsius[at], celsius[at + 1]] as [number, number, number];
  const slope = (c2 - c0) / (t2 - t0);
  const allowed = ON_A_LINE_K + TIME_DIGIT_S * Math.abs(slope);
  return c1 !== c0 && Math.abs(c1 - c0 - slope * (t1 - t0)) <= allowed && digitK <= MAX_DIGIT_SHARE * Math.abs(c1 - c0);
}
