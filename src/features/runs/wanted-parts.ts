import type { GraphQLResolveInfo } from "graphql";
import { fieldsAsked } from "../../platform/graphql/fields-asked.js";
import type { WantedParts } from "./evaluation/evaluation-parts.repository.js";

/** The rows of evaluations that a GraphQL query of runs shows. */
export function wantedParts(info: GraphQLResolveInfo): WantedParts {
  const asked = fieldsAsked(info);
  return partsNamed(asked, asked.has("findings"));
}

/** The rows of evaluations behind some members of runs. */
export function partsOfMembers(members: readonly string[]): WantedParts {
  const named = new Set(members);
  return partsNamed(named, named.has("conformance"));
}

function partsNamed(names: ReadonlySet<string>, findings: boolean): WantedParts {
  const [figures, adjustments, keyFigures] = ["figures", "adjustments", "keyFigures"].map((name) => names.has(name));
  return { figures: figures === true, findings, adjustments: adjustments === true, keyFigures: keyFigures === true };
}
