import type { Chemistry } from "../../../src/core/model.js";

/** V of one cell when full, and the cutoff under load to which figures are read. Common practice, no published source. */
export const CELL_VOLTS: Readonly<Record<Chemistry, { readonly full: number; readonly cutoff: number }>> = {
  lipo: { full: 4.2, cutoff: 3.3 },
  lihv: { full: 4.35, cutoff: 3.4 },
  liion: { full: 4.2, cutoff: 3.0 },
  lifepo4: { full: 3.65, cutoff: 2.6 },
};
