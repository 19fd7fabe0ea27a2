import type { ColumnMap, ColumnWish } from "../../../core/model.js";
import { byId, element, show } from "../elements.js";
import type { LogRefusal } from "../log/messages.js";

/** Why a log cannot be read, where, and the choices that would settle it. */
export function showRefusal({ message, places, proposal }: LogRefusal, choose: (map: ColumnMap) => void): void {
  const choices = (proposal?.candidates ?? []).map(({ channel, columns }) => {
    const button = element("button", { type: "button", class: "plain" }, choiceText(channel, columns));
    button.addEventListener("click", () => choose(columns));
    return element("li", {}, button);
  });
  show(
    byId("refusal"),
    element("h2", { id: "refusal-title" }, "The log cannot be read yet"),
    element("p", {}, message),
    places.length > 0 && element("ul", {}, ...places.map((place) => element("li", {}, placeText(place)))),
    choices.length > 0 && element("p", {}, "Choose what it is:"),
    choices.length > 0 && element("ul", { class: "options" }, ...choices),
  );
}

function placeText({ line, column, message }: LogRefusal["places"][number]): string {
  const place = [...(line ? [`line ${line}`] : []), ...(column ? [`column ${column}`] : [])].join(", ");
  return place === "" ? message : `${place}: ${message}`;
}

function choiceText(channel: string, columns: ColumnMap): string {
  const wish = columns[channel as keyof ColumnMap];
  if (wish === null || wish === undefined) return `There is no ${channel} in this log`;
  if (typeof wish === "string") return `The ${channel} is \u201c${wish}\u201d`;
  if ("interval" in wish) return `Rows stand ${wish.interval} ${wish.unit ?? "s"} apart`;
  const { name, column, unit } = wish as ColumnWish;
  return `The ${channel} is ${name === undefined ? `column ${column}` : `\u201c${name}\u201d`}${unit ? ` in ${unit}` : ""}`;
}
