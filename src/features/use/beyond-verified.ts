/** What is said of a use that draws more than the continuous current that ladders have verified. */
export function beyondVerified(peakA: number | null, verifiedA: number | null): string[] {
  if (verifiedA === null || peakA === null || peakA <= verifiedA) return [];
  return [
    `The use draws up to ${Math.round(peakA)} A, more than the ${Math.round(verifiedA)} A of continuous current that ladders have verified.`,
  ];
}
