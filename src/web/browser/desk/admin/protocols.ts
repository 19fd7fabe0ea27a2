import { element } from "../../elements.js";
import type { Listed, View } from "../../service/view.js";
import type { DeskView } from "../desk-work.js";

type Protocol = View<"ProtocolView">;

/** The protocols, each with the version that is active and whether a newer one waits. */
export const showProtocols: DeskView = async (desk) => {
  const { items } = await desk.session.get<Listed<Protocol>>("/v1/protocols?first=50");
  const cards = items.map((newest) =>
    element(
      "li",
      { class: "run" },
      element("h3", {}, element("a", { href: `#protocol/${newest.key}` }, newest.title)),
      element("p", {}, newest.summary),
      element(
        "p",
        { class: newest.active ? "subtitle" : "open" },
        newest.active
          ? `Version ${newest.version} is active.`
          : `Version ${newest.version} is published; ${newest.activeVersion ? `version ${newest.activeVersion} is active` : "none is active"}.`,
      ),
    ),
  );
  return [
    element("h2", {}, "Protocols"),
    element("p", {}, "A published version never changes. Rankings count runs as they are judged under the active one."),
    element("ul", { class: "runs" }, ...cards),
  ];
};
