import type { Attack } from "./attack.js";
import { graphqlAttacks } from "./graphql-attacks.js";

/** Everything that is tried, in this order. */
export const ATTACKS: readonly Attack[] = [...graphqlAttacks];
