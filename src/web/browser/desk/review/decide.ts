import { element } from "../../elements.js";
import type { Listed, View } from "../../service/view.js";
import type { DeskWork } from "../desk-work.js";
import { type QueuedRun, queueAddress } from "./queue.js";
import { sayDecided } from "./undo.js";

type Evidence = View<"EvidenceSummaryView">;
type Decision = View<"ReviewInput">["decision"];

interface Choice {
  readonly decision: Decision;
  readonly key: string;
  readonly label: string;
  readonly button: string;
}

const CHOICES: readonly Choice[] = [
  { decision: "accept", key: "a", label: "Accept", button: "Accept the run" },
  { decision: "reject", key: "r", label: "Reject", button: "Reject the run" },
  { decision: "request-info", key: "q", label: "Ask its tester", button: "Send the question" },
];
const MAX_NOTE = 4000;

/**
 * The decision on a run: by mouse, by Tab, or by one letter while the focus is on this form and in no text (WCAG 2.2, 2.1.4 allows
 * keys that act on the focus alone).
 */
export function decisionForm(evidence: Evidence, desk: DeskWork): HTMLElement {
  const note = element("textarea", { rows: 4, maxlength: MAX_NOTE, name: "note" });
  const send = element("button", {}, "Decide");
  const radios = CHOICES.map(({ decision }) =>
    element("input", {
      type: "radio",
      name: "decision",
      value: decision,
      required: true,
      disabled: decision === "accept" && !canBeAccepted(evidence),
    }),
  );
  const rules = tickList(
    "rules",
    "It rests on these rules",
    [...evidence.failed, ...evidence.remarks].map(({ rule }) => [rule, rule]),
  );
  const copies = tickList(
    "independentOf",
    "Measurements of their own, though they look the same",
    evidence.copies.map((copy, at) => [copy.runId, `number ${at + 1} of those that look like it (${copy.review})`]),
  );
  const form = element(
    "form",
    { class: "decide", "aria-labelledby": "decide-title" },
    element("h3", { id: "decide-title" }, "Decide"),
    evidence.youCompete &&
      element(
        "p",
        { class: "hint" },
        "You have a conflict of interest: this will be a proposal, and counts when a moderator without one agrees.",
      ),
    !canBeAccepted(evidence) &&
      element("p", { class: "hint" }, "It does not conform, so that it cannot be accepted: reject it, or ask."),
    element(
      "fieldset",
      { class: "options" },
      element("legend", {}, "Decision"),
      ...CHOICES.map(({ label, key }, at) =>
        element(
          "label",
          { class: "beside" },
          radios[at] ?? null,
          element("span", {}, label, " ", element("kbd", {}, key)),
        ),
      ),
    ),
    rules,
    copies,
    element("label", { class: "note" }, "Why, for the tester (needed to reject and to ask)", note),
    element("p", { class: "actions" }, send),
    element(
      "p",
      { class: "small" },
      "Letters choose while you are in this form and not in a text; Enter sends. A decision can be undone for 15 minutes.",
    ),
  );
  const chosen = () => CHOICES.find((_, at) => radios[at]?.checked);
  const update = () => {
    send.textContent = chosen()?.button ?? "Decide";
    note.required = chosen() !== undefined && chosen()?.decision !== "accept";
  };
  form.addEventListener("change", update);
  form.addEventListener("keydown", (event) => {
    const isTyping = event.target instanceof HTMLTextAreaElement;
    if (isTyping || event.ctrlKey || event.altKey || event.metaKey) return;
    const at = CHOICES.findIndex(({ key }) => key === event.key.toLowerCase());
    const radio = radios[at];
    if (!radio || radio.disabled) return;
    event.preventDefault();
    radio.checked = true;
    update();
    (CHOICES[at]?.decision === "accept" ? send : note).focus();
  });
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const decision = chosen()?.decision;
    if (!decision) return;
    send.disabled = true;
    await desk.during(() =>
      decide(evidence, desk, {
        decision,
        rules: ticked(rules),
        independentOf: ticked(copies),
        note: note.value.trim() || null,
        evaluationId: evidence.evaluationId ?? null,
      }),
    );
    send.disabled = false;
  });
  return form;
}

const canBeAccepted = ({ verdict }: Evidence): boolean => verdict !== null && verdict !== "nonconforming";

/** Decides, says so with a way back, and goes on with the next run of the queue. */
async function decide(evidence: Evidence, desk: DeskWork, input: View<"ReviewInput">): Promise<void> {
  const review = await desk.session.send<View<"ReviewView">>("POST", `/v1/runs/${evidence.runId}/reviews`, input);
  const { items } = await desk.session.get<Listed<QueuedRun>>(queueAddress("pending"));
  const next = items.find(
    ({ id, claim }) => id !== evidence.runId && (!claim || claim.moderator.id === desk.account.id),
  );
  sayDecided(review, evidence, desk);
  desk.go(next ? `#review/${next.id}` : "#queue");
}

function tickList(
  name: string,
  title: string,
  options: readonly (readonly [value: string, text: string])[],
): HTMLElement | null {
  if (options.length === 0) return null;
  return element(
    "fieldset",
    { class: "options", "data-ticks": name },
    element("legend", {}, title),
    ...options.map(([value, text]) =>
      element("label", { class: "beside" }, element("input", { type: "checkbox", value }), element("span", {}, text)),
    ),
  );
}

const ticked = (list: HTMLElement | null): string[] =>
  [...(list?.querySelectorAll<HTMLInputElement>("input:checked") ?? [])].map(({ value }) => value);
