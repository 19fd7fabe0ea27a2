import { type Draft, drafts, forgetDraft, keepDraft } from "../drafts.js";
import { byId } from "../elements.js";
import { localText } from "../local-time.js";

/** The notes of a plan: kept as they are typed, and found again when the plan is opened again. */
export class DraftForm {
  private readonly form = byId<HTMLFormElement>("draft");
  private readonly known = JSON.parse(this.form.dataset.known ?? "{}") as Draft["run"];
  private readonly plan = location.pathname + location.search;

  constructor() {
    this.form.hidden = false;
    this.show(drafts().find(({ plan }) => plan === this.plan) ?? null);
    this.form.addEventListener("input", () => this.keep());
    this.form.addEventListener("submit", (event) => event.preventDefault());
    byId("draft-now").addEventListener("click", () => {
      this.field("startedAt").value = localText(new Date());
      this.keep();
    });
    byId("draft-forget").addEventListener("click", () => {
      this.form.reset();
      forgetDraft(this.plan);
      this.say("Forgotten. Nothing of it is kept in this browser.");
    });
  }

  private show(draft: Draft | null): void {
    if (!draft) return;
    for (const field of this.fields()) {
      const value = draft.run[field.name];
      if (field.name === "startedAt" && typeof value === "string") field.value = localText(new Date(value));
      else if (typeof value === "string" || typeof value === "number") field.value = String(value);
    }
    this.say(`Noted here ${new Date(draft.notedAt).toLocaleString()}.`);
  }

  private keep(): void {
    const noted = this.fields().flatMap((field) => (field.value === "" ? [] : [[field.name, enteredIn(field)]]));
    const run = { ...this.known, ...Object.fromEntries(noted) };
    const isKept = keepDraft({
      plan: this.plan,
      title: this.form.dataset.title ?? "",
      run,
      notedAt: new Date().toISOString(),
    });
    this.say(
      isKept ? "Kept in this browser." : "This browser keeps nothing: write the notes down, the upload asks for them.",
    );
  }

  private fields(): HTMLInputElement[] {
    return [...this.form.querySelectorAll("input")];
  }

  private field(name: string): HTMLInputElement {
    return this.form.elements.namedItem(name) as HTMLInputElement;
  }

  private say(text: string): void {
    byId("draft-status").textContent = text;
  }
}

function enteredIn({ type, value }: HTMLInputElement): string | number {
  if (type === "number") return Number(value);
  return type === "datetime-local" ? new Date(value).toISOString() : value;
}
