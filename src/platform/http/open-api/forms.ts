import { FORMS } from "../requests/forms.js";
import type { Operation } from "./operation.js";

const OF_PICTURES = ["width", "scale"];

/**
 * Of an operation that comes in several forms: what the address with an ending gives, under a name of its own. The address without
 * one declares JSON alone, so that clients made of the description need not tell JSON from the text of a table.
 */
export function narrowToForm(path: string, operation: Operation): void {
  const ending = path.match(/\.(\w+)$/)?.[1];
  if (!ending || !(ending in FORMS)) {
    narrowToJson(operation);
    return;
  }
  const { type, suffix, name } = FORMS[ending as keyof typeof FORMS];
  operation.operationId += suffix;
  operation.summary = `${operation.summary}; ${name}`;
  const unused = OF_PICTURES.filter((option) => ending !== "png" && !(ending === "svg" && option === "width"));
  operation.parameters = (operation.parameters ?? []).filter((one) => one.in !== "query" || !unused.includes(one.name));
  const { 200: success } = operation.responses;
  if (success && "content" in success && success.content) {
    success.content = Object.fromEntries(Object.entries(success.content).filter(([one]) => one === type));
  }
}

function narrowToJson(operation: Operation): void {
  const { 200: success } = operation.responses;
  if (!success || !("content" in success) || !success.content) return;
  const json = success.content["application/json"];
  const { content } = success;
  const others = Object.entries(FORMS);
  if (!json || !others.every(([, { type }]) => type in content)) return;
  success.content = { "application/json": json };
  const forms = others.map(([ending, { type }]) => `\`${type}\` (\`.${ending}\`)`).join(", ");
  operation.description = [operation.description, `By \`Accept\`, or at the address with an ending, also as ${forms}.`]
    .filter(Boolean)
    .join("\n\n");
}
