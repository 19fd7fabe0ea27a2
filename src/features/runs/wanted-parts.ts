import type { WantedParts } from "./evaluation/evaluation-parts.repository.js";

/** The rows of evaluations behind some members of runs. */
export function partsOfMembers(members: readonly string[]): WantedParts {
  const named = new Set(members);
  return {
    figures: named.has("figures"),
    findings: named.has("conformance"),
    adjustments: named.has("adjustments"),
    keyFigures: named.has("keyFigures"),
  };
}
