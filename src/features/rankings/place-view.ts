import { coverageFactor } from "../../core/uncertainty/coverage-factor.js";
import type { CursorKey } from "../../platform/paging/cursor.js";
import type { PackPlaceView } from "./pack-places.views.js";
import type { PackPlaceRow, PlacesFilter } from "./places.repository.js";

/** The list of a pack's standings and its order. */
export function placesOf(packId: string, filter: PlacesFilter) {
  return {
    name: "standings-of-pack",
    filters: { packId, ...filter },
    keys: ["text", "text", "number"] as const,
    keyOf: ({ protocol, figure, load }: PackPlaceRow): CursorKey<readonly ["text", "text", "number"]> => [
      protocol,
      figure,
      load ?? 0,
    ],
  };
}

/** What both APIs show of a pack's standing. */
export function placeView({ packId: _, bestPlace, worstPlace, ...row }: PackPlaceRow): PackPlaceView {
  return {
    ...row,
    placeRange: bestPlace === null || worstPlace === null ? null : [bestPlace, worstPlace],
    coverageFactor: coverageFactor(row.degreesOfFreedom),
  };
}
