import type { Chemistry } from "../../model.js";
import type { CellVolts } from "../document.js";

/** Volts per cell within which a rested cell counts as full: about `full`, or for LiFePO4, which settles far below it within minutes, a window of its own. */
export function fullCellWindow(
  chemistry: Chemistry,
  { full }: CellVolts,
  limit: (name: string) => number,
): { readonly minimum: number; readonly maximum: number } {
  return chemistry === "lifepo4"
    ? { minimum: limit("lifepo4Minimum"), maximum: limit("lifepo4Maximum") }
    : { minimum: full - limit("below"), maximum: full + limit("above") };
}
