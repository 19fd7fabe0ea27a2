import { element } from "../elements.js";
import { Refusal } from "../service/service.js";
import { type Field, type FieldGroup, ShownField } from "./fields.js";

let forms = 0;

interface FormParts {
  readonly fields: readonly (Field | FieldGroup)[];
  readonly button: string;
  /** Stands between the fields and the button, such as what will follow. */
  readonly before?: readonly (Node | string)[];
}

/**
 * A form whose faults are the service's own words: each beside its field, and all together above, where the focus goes, with a link to
 * each field (a pattern of forms for the public).
 */
export class FieldForm {
  readonly element: HTMLFormElement;
  private readonly shown: readonly ShownField[];
  private readonly summary = element("div", { class: "faults", tabindex: -1, hidden: true });
  private readonly button: HTMLButtonElement;

  /**
   * @param send sends what was entered, as an object of its members; what it refuses is shown
   * @param during does one thing of the page, and hears of a session that has ended
   */
  constructor(
    { fields, button, before = [] }: FormParts,
    send: (body: Record<string, unknown>) => Promise<void>,
    during: (work: () => Promise<void>) => Promise<void>,
  ) {
    const name = `form-${++forms}`;
    const shown: ShownField[] = [];
    const show = (field: Field) => {
      const made = new ShownField(field, `${name}-${shown.length}`);
      shown.push(made);
      return made.element;
    };
    const parts = fields.map((one) =>
      "title" in one
        ? element("fieldset", { class: "fields" }, element("legend", {}, one.title), ...one.fields.map(show))
        : show(one),
    );
    this.shown = shown;
    this.button = element("button", {}, button);
    this.element = element(
      "form",
      { class: "reply", novalidate: true },
      this.summary,
      ...parts,
      ...before,
      element("p", { class: "actions" }, this.button),
    );
    this.element.addEventListener("submit", (event) => {
      event.preventDefault();
      void during(() => this.submit(send));
    });
  }

  /** What was entered, as members of what is sent. */
  get body(): Record<string, unknown> {
    const body = {};
    for (const { pointer, value } of this.shown) if (value !== undefined) put(body, pointer.split("/").slice(1), value);
    return body;
  }

  /** The input of a field. @throws when the form has none of this pointer */
  input(pointer: string): HTMLInputElement {
    const found = this.shown.find((one) => one.pointer === pointer);
    if (!found) throw new Error(`the form has no ${pointer}`);
    return found.input as HTMLInputElement;
  }

  set buttonText(text: string) {
    this.button.textContent = text;
  }

  private async submit(send: (body: Record<string, unknown>) => Promise<void>): Promise<void> {
    this.say([], []);
    this.button.disabled = true;
    try {
      await send(this.body);
    } catch (error) {
      if (!(error instanceof Refusal) || error.status === 401) throw error;
      this.show(error);
    } finally {
      this.button.disabled = false;
    }
  }

  private show({ message, problem }: Refusal): void {
    const errors = problem?.errors ?? [];
    const placed = errors.flatMap((error) => {
      const field = this.fieldOf(error.pointer ?? "");
      return field ? [{ field, message: error.message }] : [];
    });
    const rest = errors.filter(({ pointer }) => !this.fieldOf(pointer ?? ""));
    const detail = errors.length === 0 ? message : (problem?.detail ?? "");
    this.say(placed, [
      ...(placed.length > 0 ? [] : [detail]),
      ...rest.map((error) => `${error.pointer ?? ""} ${error.message}`.trim()),
    ]);
    this.summary.focus();
  }

  /** A fault of something with members stands at the first of them. */
  private fieldOf(pointer: string): ShownField | undefined {
    const isWithin = (one: ShownField) => pointer !== "" && one.pointer.startsWith(`${pointer}/`);
    return this.shown.find((one) => one.pointer === pointer) ?? this.shown.find(isWithin);
  }

  private say(
    placed: readonly { readonly field: ShownField; readonly message: string }[],
    others: readonly string[],
  ): void {
    for (const field of this.shown) {
      field.mark(placed.find((one) => one.field === field)?.message ?? null);
    }
    this.summary.hidden = placed.length + others.length === 0;
    this.summary.replaceChildren(
      element("p", {}, element("strong", {}, "Nothing was stored: this is to be changed")),
      element(
        "ul",
        {},
        ...placed.map(({ field, message }) => {
          const link = element("a", { href: `#${field.id}` }, `${field.label}: ${message}`);
          // The hash names the view; the link only moves the focus.
          link.addEventListener("click", (event) => {
            event.preventDefault();
            field.input.focus();
          });
          return element("li", {}, link);
        }),
        ...others.filter((text) => text !== "").map((text) => element("li", {}, text)),
      ),
    );
  }
}

function put(body: Record<string, unknown>, [name = "", ...rest]: readonly string[], value: unknown): void {
  if (rest.length === 0) {
    body[name] = value;
    return;
  }
  const inner = (body[name] ?? {}) as Record<string, unknown>;
  body[name] = inner;
  put(inner, rest, value);
}
