/** The usual cautions, shown wherever a test is described, planned or uploaded. */
export const CAUTIONS: readonly string[] = [
  "Lithium packs can vent and burn. Test outdoors or in a fire-safe place, and never leave a test alone.",
  "Stay within the maker's limits. The maker's instructions, local rules and licensed practice come first.",
  "Use a voltage cut-out and a temperature cut-out, have the means to stop the load at once, and wear eye protection.",
  "Do not test a pack that is hot, swollen or damaged.",
  "A figure or a ranking is not a licence to use a pack at that load in a model or vehicle.",
];
