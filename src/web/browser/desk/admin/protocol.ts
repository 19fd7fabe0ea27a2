import { element } from "../../elements.js";
import type { View } from "../../service/view.js";
import { button } from "../button.js";
import type { DeskView, DeskWork } from "../desk-work.js";
import { timeOf } from "../texts.js";
import { nextVersion } from "./next-version.js";
import type { Reevaluation } from "./progress.js";
import { protocolVersions } from "./protocol-versions.js";

type Protocol = View<"ProtocolView">;

/** Every version of a protocol, each to be tried before it becomes active, and the next one to be written, tried and published. */
export const showProtocol: DeskView = async (desk, key) => {
  const newest = await desk.session.get<Protocol>(`/v1/protocols/${encodeURIComponent(key)}`);
  const versions = await protocolVersions(newest, desk);
  return [
    element("h2", {}, newest.title),
    element("p", {}, newest.summary),
    element("ol", { class: "runs" }, ...versions.map((one) => versionCard(one, newest.activeVersion ?? 0, desk))),
    nextVersion(newest, desk),
    element("p", { class: "actions" }, element("a", { href: "#protocols" }, "All protocols")),
  ];
};

function versionCard(
  { key, version, publishedAt }: View<"ProtocolVersionView">,
  activeVersion: number,
  desk: DeskWork,
): HTMLElement {
  const active = version === activeVersion;
  const dry = button(
    `Dry run of version ${version}`,
    () =>
      desk.during(async () => {
        const begun = await desk.session.send<Reevaluation>("POST", "/v1/reevaluations", {
          protocol: key,
          protocolVersion: version,
          dryRun: true,
        });
        desk.go(`#reevaluation/${begun.id}`);
      }),
    { class: "plain" },
  );
  return element(
    "li",
    { class: "run" },
    element(
      "h3",
      {},
      `Version ${version} `,
      element("span", { class: `tag ${active ? "good" : "faint"}` }, active ? "active" : "not active"),
    ),
    element(
      "p",
      { class: "subtitle" },
      "Published ",
      timeOf(publishedAt),
      " \u00b7 ",
      element(
        "a",
        { href: `/v1/protocols/${key}/versions/${version}/rules`, target: "_blank", rel: "noopener" },
        "its rules",
      ),
    ),
    element("p", { class: "small" }, usesOf(version, activeVersion)),
    version >= activeVersion && element("p", { class: "actions" }, dry),
  );
}

function usesOf(version: number, active: number): string {
  if (version === active) return "A dry run shows what judging every run anew would change.";
  return version > active
    ? "A dry run shows what making it active would change; it is made active from there."
    : "A later version is active. A protocol does not go back to an earlier one.";
}
