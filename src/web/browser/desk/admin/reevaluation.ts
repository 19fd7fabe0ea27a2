import { PROTOCOLS } from "../../../words.js";
import { element } from "../../elements.js";
import type { View } from "../../service/view.js";
import { button } from "../button.js";
import type { DeskView, DeskWork } from "../desk-work.js";
import { counted } from "../texts.js";
import { effectsOf } from "./effects.js";
import { followed, type Reevaluation } from "./progress.js";
import { begunBy, STATES, titleOf } from "./reevaluations.js";

/** One re-evaluation: its progress, then what it changed or would change; from a dry run on to making the version active. */
export const showReevaluation: DeskView = async (desk, id) => {
  const reevaluation = await desk.session.get<Reevaluation>(`/v1/reevaluations/${encodeURIComponent(id)}`);
  return [
    element("h2", {}, titleOf(reevaluation)),
    element(
      "p",
      { class: "subtitle" },
      element("span", { class: `tag ${STATES[reevaluation.state][1]}` }, STATES[reevaluation.state][0]),
      " ",
      ...begunBy(reevaluation),
    ),
    ...(await outcomeOf(reevaluation, desk)),
    ...(await activation(reevaluation, desk)),
    element("p", { class: "actions" }, element("a", { href: "#reevaluations" }, "All re-evaluations")),
  ];
};

/** Progress while it works; then its effects, or why there are none. */
export async function outcomeOf(reevaluation: Reevaluation, desk: DeskWork): Promise<HTMLElement[]> {
  const { state, dryRun, failed } = reevaluation;
  const effects = reevaluation.effects as View<"EffectsView"> | null | undefined;
  if (state === "evaluating") return [followed(reevaluation, desk, () => desk.redraw())];
  if (state === "cancelled") return [element("p", {}, "It was cancelled: nothing has changed by it.")];
  if (state === "failed" || !effects) {
    return [element("p", {}, "It ended without a result, and nothing has changed by it. Begin it again.")];
  }
  return [
    element(
      "p",
      {},
      dryRun
        ? "Nothing has changed: this is what would."
        : "The version is active, and rankings count the runs as they are judged under it.",
    ),
    ...(failed > 0 ? [element("p", { class: "open" }, `${counted(failed, "run")} could not be evaluated.`)] : []),
    ...(await effectsOf(effects, dryRun, desk)),
  ];
}

/** A dry run of a published version that is not active leads on to making it active. */
async function activation({ dryRun, state, protocol, effects }: Reevaluation, desk: DeskWork): Promise<HTMLElement[]> {
  if (!dryRun || state !== "finished") return [];
  const newest = await desk.session.get<View<"ProtocolView">>(`/v1/protocols/${protocol.key}`);
  if (protocol.version > newest.version) {
    return [
      element(
        "p",
        { class: "hint" },
        "The document that was tried is not published. Publish it at ",
        element("a", { href: `#protocol/${protocol.key}` }, "its protocol"),
        " first; then it can be made active.",
      ),
    ];
  }
  // A protocol does not go back to an earlier version.
  if (protocol.version <= (newest.activeVersion ?? 0)) return [];
  const revoked = (effects as View<"EffectsView"> | null)?.acceptanceRevoked ?? 0;
  const make = button(
    `Make version ${protocol.version} active`,
    () =>
      desk.during(async () => {
        const begun = await desk.session.send<Reevaluation>("POST", "/v1/reevaluations", {
          protocol: protocol.key,
          protocolVersion: protocol.version,
        });
        desk.say(
          `Every run of ${PROTOCOLS[protocol.key] ?? protocol.key} is judged under version ${protocol.version}.`,
        );
        desk.go(`#reevaluation/${begun.id}`);
      }),
    { class: "grave" },
  );
  return [
    element(
      "section",
      { class: "sheet", "aria-label": "Make it active" },
      element("h3", {}, "Make it active"),
      element(
        "p",
        {},
        `Every run is judged under version ${protocol.version} in the background. When all are, rankings change at once to what stands above, ${revoked === 1 ? "1 accepted run becomes pending" : `${revoked} accepted runs become pending`} again, and their testers are told. Until then it can be cancelled.`,
      ),
      element("p", { class: "actions" }, make),
    ),
  ];
}
