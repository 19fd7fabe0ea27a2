import type { GraphQLResolveInfo } from "graphql";
import { fieldsAsked } from "../../platform/graphql/fields-asked.js";
import type { WantedParts } from "./evaluation/evaluation-parts.repository.js";

/** The rows of evaluations that a GraphQL query of runs shows. */
export function wantedParts(info: GraphQLResolveInfo): WantedParts {
  const asked = fieldsAsked(info);
  return { figures: asked.has("figures"), findings: asked.has("findings"), adjustments: asked.has("adjustments") };
}
