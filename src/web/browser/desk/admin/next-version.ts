import { element, show } from "../../elements.js";
import { FieldForm } from "../../form/field-form.js";
import { Refusal } from "../../service/service.js";
import type { View } from "../../service/view.js";
import { button } from "../button.js";
import type { DeskWork } from "../desk-work.js";
import { effectsOf } from "./effects.js";
import { followed, type Reevaluation } from "./progress.js";

type Protocol = View<"ProtocolView">;

/** The document of the next version: written here, tried on every run, and published only as it was tried. */
export function nextVersion(newest: Protocol, desk: DeskWork): HTMLElement {
  const next = newest.version + 1;
  const outcome = element("div", { "aria-live": "polite" });
  const form = new FieldForm(
    {
      fields: [
        {
          pointer: "/document",
          label: `Document of version ${next}, as JSON`,
          hint: "It begins as the newest one. A dry run reports what it would change; nothing is stored by that.",
          kind: "long",
          value: JSON.stringify({ ...newest.document, version: next }, null, 2),
        },
      ],
      button: "Dry run of this document",
    },
    async ({ document }) => {
      const parsed = documentOf(String(document ?? ""));
      const begun = await desk.session.send<Reevaluation>("POST", "/v1/reevaluations", {
        protocol: newest.key,
        document: parsed,
        dryRun: true,
      });
      show(
        outcome,
        followed(begun, desk, (ended) => tell(ended, parsed)),
      );
    },
    (work) => desk.during(work),
  );
  const field = form.input("/document");
  field.setAttribute("rows", "16");
  field.classList.add("code");
  field.setAttribute("spellcheck", "false");
  // What was tried is what is published: another document is another dry run.
  field.addEventListener("input", () => show(outcome));

  const tell = async (ended: Reevaluation, document: object) => {
    if (ended.state !== "finished" || !ended.effects) {
      show(outcome, element("p", {}, "The dry run ended without a result. Nothing was stored; begin it again."));
      return;
    }
    const effects = await effectsOf(ended.effects as View<"EffectsView">, true, desk);
    show(outcome, element("h3", {}, "What it would change"), ...effects, publication(document));
  };
  const publication = (document: object) =>
    element(
      "section",
      { class: "sheet", "aria-label": "Publish it" },
      element("h3", {}, "Publish it"),
      element(
        "p",
        {},
        `Version ${next} is published for good: it can be neither changed nor deleted. Rankings go on with the active version until version ${next} is made active.`,
      ),
      element(
        "p",
        { class: "actions" },
        button(
          `Publish version ${next} for good`,
          () =>
            desk.during(async () => {
              await desk.session.send("POST", `/v1/protocols/${newest.key}/versions`, document);
              await desk.redraw();
              desk.say(`Version ${next} is published. It is not active yet.`);
            }),
          { class: "grave" },
        ),
      ),
    );
  return element(
    "details",
    { class: "next-version" },
    element("summary", {}, `Write version ${next}`),
    form.element,
    outcome,
  );
}

/** @throws Refusal beside the field when the text is no JSON object */
function documentOf(text: string): object {
  try {
    const parsed: unknown = JSON.parse(text);
    if (typeof parsed === "object" && parsed !== null && !Array.isArray(parsed)) return parsed;
    throw new SyntaxError("it must be an object in braces");
  } catch (error) {
    const message = `is not JSON: ${(error as Error).message}`;
    throw new Refusal(message, 422, null, { errors: [{ pointer: "/document", message }] });
  }
}
