import { element } from "../elements.js";
import { optionsOf } from "../options.js";

/** A field of a form, named by where its value stands in what is sent (RFC 6901). */
export interface Field {
  readonly pointer: string;
  readonly label: string;
  readonly hint?: string;
  readonly kind: "text" | "long" | "number" | "yes-no" | "choice";
  /** Of a choice: texts by values. */
  readonly options?: Readonly<Record<string, string>>;
  readonly value?: string | number | boolean | null;
  /** Sent as null when it is left empty; else it is left out then, and the service says when it is needed. */
  readonly emptyIsNull?: boolean;
  readonly maxLength?: number;
}

/** Fields under a title of their own. */
export interface FieldGroup {
  readonly title: string;
  readonly fields: readonly Field[];
}

type Input = HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement;

/** A field as it stands on the page, with room for what the service says of it. */
export class ShownField {
  readonly input: Input;
  readonly element: HTMLElement;
  private readonly fault: HTMLElement;

  constructor(
    private readonly field: Field,
    readonly id: string,
  ) {
    this.input = inputOf(field, id);
    const hintId = `${id}-hint`;
    this.fault = element("span", { class: "fault", id: `${id}-fault`, hidden: true });
    this.input.setAttribute("aria-describedby", `${field.hint ? `${hintId} ` : ""}${id}-fault`);
    this.element = element(
      "div",
      { class: field.kind === "long" ? "field note" : "field" },
      element(
        "label",
        { for: id, class: field.kind === "yes-no" ? "beside" : null },
        ...(field.kind === "yes-no" ? [this.input, element("span", {}, field.label)] : [field.label]),
      ),
      field.hint ? element("span", { class: "small", id: hintId }, field.hint) : null,
      this.fault,
      field.kind === "yes-no" ? null : this.input,
    );
  }

  get label(): string {
    return this.field.label;
  }

  get pointer(): string {
    return this.field.pointer;
  }

  /** Undefined where it is left out of what is sent. */
  get value(): string | number | boolean | null | undefined {
    const { kind, emptyIsNull } = this.field;
    if (kind === "yes-no") return (this.input as HTMLInputElement).checked;
    const text = this.input.value.trim();
    if (text === "") return emptyIsNull ? null : undefined;
    // What is no number is sent as it is: the service says what it has to be.
    const number = Number(text.replace(",", "."));
    return kind === "number" && !Number.isNaN(number) ? number : text;
  }

  /** Says beside the field what is wrong with it; nothing for null. */
  mark(message: string | null): void {
    this.fault.hidden = message === null;
    this.fault.textContent = message ?? "";
    if (message === null) this.input.removeAttribute("aria-invalid");
    else this.input.setAttribute("aria-invalid", "true");
  }
}

function inputOf({ kind, options = {}, value, maxLength }: Field, id: string): Input {
  if (kind === "choice") return element("select", { id }, ...optionsOf(options, String(value ?? "")));
  if (kind === "yes-no") return element("input", { id, type: "checkbox", checked: value === true });
  const text = value === null || value === undefined || value === false ? "" : String(value);
  if (kind === "long") {
    const area = element("textarea", { id, rows: 3, maxlength: maxLength ?? null });
    area.value = text;
    return area;
  }
  const inputmode = kind === "number" ? "decimal" : null;
  return element("input", {
    id,
    type: "text",
    inputmode,
    autocomplete: "off",
    value: text,
    maxlength: maxLength ?? null,
  });
}
