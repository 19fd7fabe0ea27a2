import { PROTOCOLS } from "../../../words.js";
import { element } from "../../elements.js";
import type { View } from "../../service/view.js";
import { counted, packName, timeOf, valueText } from "../texts.js";

/** What the desk asks for of each of one's own runs. */
export const OWN_FIELDS =
  "id,state,review,verdict,error,question,conformance,protocol,pack,specimen,bench,startedAt,uploadedAt,fileName,keyFigures";

export type OwnRun = View<"RunListItem">;

/** Where a run stands, in a few words, and whether that asks its tester to do something. */
export function standingOf({
  state,
  review,
  verdict,
}: OwnRun): readonly [text: string, kind: "open" | "bad" | "good" | "faint"] {
  if (review === "withdrawn") return ["withdrawn", "faint"];
  if (review === "accepted") return ["accepted, public", "good"];
  if (review === "rejected") return ["rejected", "bad"];
  if (review === "info-requested") return ["a moderator asks", "open"];
  if (state === "failed") return ["cannot be read", "bad"];
  if (state !== "processed") return ["being evaluated", "faint"];
  return verdict === "nonconforming" ? ["does not conform", "bad"] : ["waits for a moderator", "faint"];
}

/** A run of one's own: what it is, where it stands, and what was found that did not pass. */
export function runHeading(run: OwnRun, level: "h2" | "h3" | "h4"): HTMLElement[] {
  const { pack, protocol, startedAt, uploadedAt, specimen, fileName } = run;
  const [text, kind] = standingOf(run);
  return [
    element(level, {}, pack ? packName(pack) : "A run", " ", element("span", { class: `tag ${kind}` }, text)),
    element(
      "p",
      { class: "subtitle" },
      `${PROTOCOLS[protocol?.key ?? ""] ?? protocol?.key} \u00b7 `,
      timeOf(startedAt ?? uploadedAt ?? ""),
      " \u00b7 ",
      element("bdi", {}, specimen?.label ?? ""),
      " \u00b7 ",
      element("bdi", {}, fileName ?? ""),
    ),
  ];
}

/**
 * Why a log could not be read, or the findings that did not pass, in the words of their rules.
 *
 * @param isBrief remarks are counted, as of runs that nobody has to mend
 */
export function foundOf(
  { error, conformance, keyFigures = [] }: OwnRun,
  figureTitle: (key: string) => string,
  isBrief = false,
): HTMLElement[] {
  if (error) return [element("div", { class: "findings bad" }, element("p", {}, error.message))];
  const failed = (conformance?.findings ?? []).filter(({ outcome }) => outcome === "fail");
  const blocking = failed.filter(({ severity }) => severity === "required");
  const others = failed.filter(({ severity }) => severity !== "required");
  return [
    ...listed(conformance?.verdict === "nonconforming" ? "Does not conform because" : "Not met", blocking, "bad"),
    ...(isBrief ? [] : listed("Remarks", others, "open")),
    element(
      "p",
      { class: "small" },
      [
        ...(isBrief && others.length > 0 ? [counted(others.length, "remark")] : []),
        ...keyFigures
          .slice(0, 3)
          .map(({ key, value, uncertainty, unit }) => `${figureTitle(key)}: ${valueText(value, uncertainty, unit)}`),
      ].join(" \u00b7 "),
    ),
  ];
}

function listed(title: string, findings: readonly View<"FindingView">[], kind: string): HTMLElement[] {
  if (findings.length === 0) return [];
  const lines = findings.map(({ rule, message }) =>
    element("li", {}, element("strong", {}, `${rule}:`), ` ${message}`),
  );
  return [
    element(
      "div",
      { class: `findings ${kind}` },
      element("p", {}, element("strong", {}, title)),
      element("ul", {}, ...lines),
    ),
  ];
}
