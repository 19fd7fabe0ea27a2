import { InterfaceType } from "@nestjs/graphql";
import { IdField } from "../views/text.js";

/** As GraphQL Global Object Identification has it (relay.dev/graphql/objectidentification.htm). */
@InterfaceType({
  description: "What keeps its id for good, by which `node` finds it again",
  resolveType: ({ __typename }: NodeOfType) => __typename,
})
export abstract class Node {
  @IdField({ description: "Names it among all nodes of this service" })
  id: string;
}

/** A node with the name of its type. */
export interface NodeOfType {
  readonly __typename: string;
  readonly id: string;
}
