import { type ASTVisitor, GraphQLError, Kind, type SelectionSetNode, type ValidationContext } from "graphql";

const mostFields = 1_000;
/** Fields whose answers are large count as many. */
const weights: ReadonlyMap<string, number> = new Map([
  ["trace", 200],
  ["comparison", 100],
  ["ladder", 100],
]);
const mostRootFields = 20;

/** Counts a selection with its fragments spelt out; each fragment is counted once and remembered. */
function fieldCounter(context: ValidationContext) {
  const ofFragment = new Map<string, number>();
  return function count(selections: SelectionSetNode, isRoot: boolean): number {
    let fields = 0;
    for (const selection of selections.selections) {
      if (selection.kind === Kind.FIELD) {
        fields +=
          (isRoot ? 1 : (weights.get(selection.name.value) ?? 1)) +
          (isRoot || !selection.selectionSet ? 0 : count(selection.selectionSet, false));
      } else if (selection.kind === Kind.INLINE_FRAGMENT) {
        fields += count(selection.selectionSet, isRoot);
      } else {
        const key = `${isRoot} ${selection.name.value}`;
        if (!ofFragment.has(key)) {
          // A fragment inside itself counts nothing here; another rule refuses it.
          ofFragment.set(key, 0);
          const fragment = context.getFragment(selection.name.value);
          if (fragment) ofFragment.set(key, count(fragment.selectionSet, isRoot));
        }
        fields += ofFragment.get(key) ?? 0;
      }
    }
    return fields;
  };
}

/** Refuses a document that asks for more than any screen shows, before anything of it is run. */
export function selectionLimit(context: ValidationContext): ASTVisitor {
  const count = fieldCounter(context);
  return {
    OperationDefinition(node) {
      if (count(node.selectionSet, true) > mostRootFields) {
        context.reportError(
          new GraphQLError(`A query may ask for at most ${mostRootFields} things at once.`, { nodes: node }),
        );
      }
      if (count(node.selectionSet, false) > mostFields) {
        context.reportError(new GraphQLError(`A query may select at most ${mostFields} fields.`, { nodes: node }));
      }
    },
  };
}
