import {
  BREAK,
  type DocumentNode,
  type GraphQLError,
  getOperationAST,
  type OperationDefinitionNode,
  parse,
  visit,
} from "graphql";
import { Problem } from "../problems/problem.js";

/** Bounds of a document: what it takes to be parsed, checked and remembered grows with them. */
export const MAX_TOKENS = 2_000;
const MAX_CHARACTERS = 16 * 1024;

/**
 * Looks at a document before anything reads it.
 *
 * @throws Problem `malformed-query`
 */
export function checkDocument(query: string): void {
  if (query.length > MAX_CHARACTERS) {
    throw new Problem("malformed-query", `A document may have at most ${MAX_CHARACTERS} characters.`);
  }
  if (isJson(query)) throw new Problem("malformed-query", "The member `query` must be a GraphQL document.");
}

/** No GraphQL document is JSON; the library would take it as parsed already. */
function isJson(text: string): boolean {
  try {
    JSON.parse(text);
    return true;
  } catch (error) {
    if (error instanceof SyntaxError) return false;
    throw error;
  }
}

/** @throws Problem `malformed-query` for mistakes in the grammar */
export function parseDocument(query: string): DocumentNode {
  try {
    return parse(query, { maxTokens: MAX_TOKENS });
  } catch (error) {
    throw new Problem("malformed-query", (error as GraphQLError).message);
  }
}

/** @throws Problem `malformed-query` where there is no such operation, or several and none is named */
export function operationOf(document: DocumentNode, name: string | null | undefined): OperationDefinitionNode {
  const operation = getOperationAST(document, name);
  if (operation) return operation;
  const mistake = name ? `has no operation ${name}` : "has several operations; name one as `operationName`";
  throw new Problem("malformed-query", `The document ${mistake}.`);
}

/** Whether a document asks for the schema itself, in whichever operation or fragment. */
export function readsSchema(document: DocumentNode): boolean {
  let isFound = false;
  visit(document, {
    Field({ name: { value } }) {
      isFound = value === "__schema" || value === "__type";
      return isFound ? BREAK : undefined;
    },
  });
  return isFound;
}
