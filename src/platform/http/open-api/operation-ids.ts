/**
 * The name of an operation in generated clients: the handler's verb with the resource of its controller, such as
 * `listPacks` and `getPack`. A handler whose own name says more sets `operationId` itself.
 */
export function operationIdOf(controller: string, key: string): string {
  const plural = controller.replace(/Controller$/, "");
  // A handler of several addresses is counted through.
  const handler = key.replace(/\[\d+\]$/, "");
  return `${handler}${handler === "list" ? plural : singular(plural)}`;
}

function singular(plural: string): string {
  if (plural.endsWith("ies")) return `${plural.slice(0, -3)}y`;
  return plural.replace(/(?<=ch|ss)es$|s$/, "");
}
