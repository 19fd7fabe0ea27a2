import type { Attack } from "./attack.js";
import { connectionAttacks } from "./connection-attacks.js";
import { contentAttacks } from "./content-attacks.js";
import { floodAttacks } from "./flood-attacks.js";
import { graphqlAttacks } from "./graphql-attacks.js";
import { socketAttacks } from "./socket-attacks.js";

/** Everything that is tried, in this order. */
export const ATTACKS: readonly Attack[] = [
  ...graphqlAttacks,
  ...socketAttacks,
  ...floodAttacks(),
  ...connectionAttacks(),
  ...contentAttacks(),
];
