import { type GraphQLSchema, Kind, type OperationDefinitionNode } from "graphql";

/** The name of the extension of fields at the root that are read from nothing else. */
export const REVISED = "revised";

/** The name of the extension of fields at the root that write nothing and take no locks, whatever is selected of them: a replica may answer. */
export const READS_REPLICA = "readsReplica";

/** Whether all that an operation asks for at the root is read from what has a revision. */
export function isRevised(schema: GraphQLSchema, operation: OperationDefinitionNode): boolean {
  return hasOnly(REVISED, schema, operation);
}

/** Whether a replica may answer all that an operation asks for. */
export function mayReadReplica(schema: GraphQLSchema, operation: OperationDefinitionNode): boolean {
  return hasOnly(READS_REPLICA, schema, operation);
}

function hasOnly(extension: string, schema: GraphQLSchema, operation: OperationDefinitionNode): boolean {
  if (operation.operation !== "query") return false;
  const fields = schema.getQueryType()?.getFields() ?? {};
  return operation.selectionSet.selections.every(
    (selection) => selection.kind === Kind.FIELD && fields[selection.name.value]?.extensions[extension] === true,
  );
}
