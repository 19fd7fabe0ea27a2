/** What everyone must see before a run is planned or uploaded. */
export const CAUTION =
  "Lithium packs can vent and burn. Test outdoors or in a fire-safe place, never unattended, within the maker's limits, " +
  "with a voltage and a temperature cut-out, means to stop the load, and eye protection. Never test a hot, swollen or " +
  "damaged pack. Local rules and the maker's instructions come first.";
