import { FORMS } from "../forms.js";
import type { Operation } from "./operation.js";

const OF_PICTURES = ["width", "scale"];

/** Of an operation that comes in several forms: what the address with an ending gives, under a name of its own. */
export function narrowToForm(path: string, operation: Operation): void {
  const ending = path.match(/\.(\w+)$/)?.[1];
  if (!ending || !(ending in FORMS)) return;
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
