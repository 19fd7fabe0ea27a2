import { PROTOCOLS } from "../../../words.js";
import { element } from "../../elements.js";
import type { Listed } from "../../service/view.js";
import { button } from "../button.js";
import type { DeskWork } from "../desk-work.js";
import { timeOf } from "../texts.js";
import type { OwnRun } from "./run-card.js";

const MAX_NOTE = 4000;
const MAX_REPLACEMENTS = 50;

/** What a tester can do about a run: answer what is asked, appeal once, withdraw it. */
export function runActions(run: OwnRun, desk: DeskWork): HTMLElement[] {
  const { review } = run;
  if (review === "withdrawn") return [];
  return [
    ...(review === "info-requested" ? [question(run, desk)] : []),
    ...(review === "rejected" ? [appeal(run, desk)] : []),
    withdrawal(run, desk),
  ];
}

/** The question with a form for its answer, in place. */
function question(run: OwnRun, desk: DeskWork): HTMLElement {
  const { id, question } = run;
  const note = noteField("Your answer");
  const instead = element("select", {}, element("option", { value: "" }, "No: this run stays"));
  const form = element(
    "form",
    { class: "reply" },
    note.label,
    element("label", {}, "Another run of yours in its place?", instead),
    element("p", { class: "small" }, "The other run is judged in its place, and this one is withdrawn."),
    element("p", { class: "actions" }, element("button", {}, "Send the answer")),
  );
  instead.addEventListener("focus", () => void desk.during(() => offerReplacements(run, instead, desk)), {
    once: true,
  });
  onSubmit(form, desk, async () => {
    const replacedBy = instead.value === "" ? {} : { replacedBy: instead.value };
    await desk.session.send("POST", `/v1/runs/${id}/answers`, { note: note.field.value, ...replacedBy });
    await desk.redraw();
    desk.say(
      instead.value === ""
        ? "Answered. The run waits for a moderator again."
        : "Answered. The other run is judged in its place.",
    );
  });
  return element(
    "div",
    { class: "asked" },
    element("p", {}, element("strong", {}, "A moderator asks")),
    element("p", { class: "words" }, question?.note ?? "The words of the question were erased."),
    (question?.rules.length ?? 0) > 0 && element("p", { class: "small" }, `About: ${question?.rules.join(", ")}.`),
    question ? element("p", { class: "small" }, timeOf(question.since)) : null,
    form,
  );
}

async function offerReplacements(
  { id, uploadedAt = "" }: OwnRun,
  select: HTMLSelectElement,
  desk: DeskWork,
): Promise<void> {
  const { items } = await desk.session.get<Listed<OwnRun>>(
    `/v1/runs?mine=true&review=pending&first=${MAX_REPLACEMENTS}&fields=id,pack,protocol,uploadedAt,fileName`,
  );
  const later = items.filter((one) => one.id !== id && (one.uploadedAt ?? "") > uploadedAt);
  select.append(
    ...later.map(({ id, pack, protocol, fileName }) =>
      element(
        "option",
        { value: id ?? "" },
        `${pack?.maker} ${pack?.name}, ${PROTOCOLS[protocol?.key ?? ""] ?? protocol?.key}, ${fileName}`,
      ),
    ),
  );
}

function appeal({ id }: OwnRun, desk: DeskWork): HTMLElement {
  const note = noteField("Why the rejection is wrong");
  const form = element(
    "form",
    { class: "reply" },
    element("p", {}, "An appeal is possible once. Whoever rejected the run does not decide on it."),
    note.label,
    element("p", { class: "actions" }, element("button", {}, "Appeal")),
  );
  onSubmit(form, desk, async () => {
    await desk.session.send("POST", `/v1/runs/${id}/appeals`, { note: note.field.value });
    await desk.redraw();
    desk.say("Your appeal was sent. Another moderator decides.");
  });
  return element("details", {}, element("summary", {}, "Appeal against the rejection"), form);
}

/** Withdrawing is for good: what it means is said before the button that does it. */
function withdrawal(run: OwnRun, desk: DeskWork): HTMLElement {
  const really = button(
    "Withdraw it for good",
    () =>
      desk.during(async () => {
        await desk.session.send("DELETE", `/v1/runs/${run.id}`);
        await desk.redraw();
        desk.say("The run was withdrawn.");
      }),
    { class: "grave" },
  );
  const block = element(
    "details",
    { class: "withdrawal" },
    element("summary", {}, "Withdraw the run"),
    element("p", {}, ...meaningOf(run)),
  );
  const keep = button(
    "Keep it",
    () => {
      block.open = false;
      block.querySelector("summary")?.focus();
    },
    { class: "plain" },
  );
  block.append(element("p", { class: "actions" }, really, keep));
  return block;
}

function meaningOf({ review, verdict, state }: OwnRun): string[] {
  const forGood = "This cannot be taken back. The log and the audit log keep the run; it is judged no more. ";
  const isConforming = state === "processed" && verdict !== "nonconforming";
  if (!isConforming)
    return [
      forGood,
      "It has no figures that count, so nothing else follows. A better run can be uploaded at any time.",
    ];
  return [
    forGood,
    review === "accepted" ? "It leaves the public runs of its pack. " : "",
    "Since it conforms and its figures have been seen, they stay in your own mean of this pack and are listed as withdrawn on your public page, unless a moderator accepts the cause. Moderators see it beside your later runs of the pack.",
  ];
}

function noteField(text: string) {
  const field = element("textarea", { rows: 4, maxlength: MAX_NOTE, required: true });
  return { field, label: element("label", { class: "note" }, text, field) };
}

function onSubmit(form: HTMLFormElement, desk: DeskWork, work: () => Promise<void>): void {
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const send = form.querySelector("button");
    if (send) send.disabled = true;
    await desk.during(work);
    if (send) send.disabled = false;
  });
}
