/** A share of charge that is left, as people read it: never all or nothing of what is only nearly so. */
export function chargeLeftText(share: number): string {
  const percent = 100 * share;
  if (share < 1 && percent > 99) return "over 99 %";
  if (percent < 1) return "under 1 %";
  return `${Math.round(percent)} %`;
}
