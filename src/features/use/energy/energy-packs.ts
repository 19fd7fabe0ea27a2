import { isUuid } from "../../../platform/database/rows/uuid.js";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { requireAll } from "../../../platform/problems/problem.js";
import { MAX_ENERGY_PACKS } from "./energy.views.js";

/** The ids of packs whose energy is compared: each once. @throws Problem where they are too few or too many, or one cannot be an id */
export function energyPacksAsked(texts: readonly string[]): string[] {
  const ids = [...new Set(texts.map((text) => text.trim().toLowerCase()))];
  requireAll("pack", "/packs", ids, isUuid);
  if (ids.length < 2 || ids.length > MAX_ENERGY_PACKS) {
    throw invalidInput([{ pointer: "/packs", message: `must name 2 to ${MAX_ENERGY_PACKS} different ones` }]);
  }
  return ids;
}
