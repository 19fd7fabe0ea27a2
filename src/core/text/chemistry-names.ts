import type { Chemistry } from "../model.js";

/** What people call a chemistry. */
export const CHEMISTRY_NAMES: Readonly<Record<Chemistry, string>> = {
  lipo: "LiPo",
  lihv: "high-voltage LiPo",
  liion: "Li-ion",
  lifepo4: "LiFePO4",
};
