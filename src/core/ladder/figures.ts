/** Figures of a ladder as a whole, with their units. */
export const LADDER_FIGURES = {
  "verified-current": "A",
  "verified-c": "C",
  "claim-share": "ratio",
} as const;

export const LADDER_FIGURE_KEYS: readonly string[] = Object.keys(LADDER_FIGURES);
