import { type GraphQLResolveInfo, Kind, type SelectionSetNode } from "graphql";

/**
 * Names of all fields that a query asks for below one of its fields, however deep, those of fragments and those that a
 * directive may leave out included: enough to know what need not be loaded.
 */
export function fieldsAsked({
  fieldNodes,
  fragments,
}: Pick<GraphQLResolveInfo, "fieldNodes" | "fragments">): Set<string> {
  const names = new Set<string>();
  const open: (SelectionSetNode | undefined)[] = fieldNodes.map(({ selectionSet }) => selectionSet);
  const spread = new Set<string>();
  for (const selectionSet of open) {
    for (const selection of selectionSet?.selections ?? []) {
      if (selection.kind === Kind.FRAGMENT_SPREAD) {
        const name = selection.name.value;
        if (!spread.has(name)) open.push(fragments[name]?.selectionSet);
        spread.add(name);
        continue;
      }
      if (selection.kind === Kind.FIELD) names.add(selection.name.value);
      open.push(selection.selectionSet);
    }
  }
  return names;
}
