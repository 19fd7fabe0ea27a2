import { type GraphQLSchema, Kind, type OperationDefinitionNode } from "graphql";

/** The name of the extension of fields at the root that are read from nothing else. */
export const REVISED = "revised";

/** Whether all that an operation asks for at the root is read from what has a revision. */
export function isRevised(schema: GraphQLSchema, operation: OperationDefinitionNode): boolean {
  if (operation.operation !== "query") return false;
  const fields = schema.getQueryType()?.getFields() ?? {};
  return operation.selectionSet.selections.every(
    (selection) => selection.kind === Kind.FIELD && fields[selection.name.value]?.extensions[REVISED] === true,
  );
}
