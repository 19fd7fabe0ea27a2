import type { InputError } from "../../../core/inputs/input-error.js";
import { byId } from "../elements.js";

export type DeclaredRun = Readonly<Record<string, unknown>>;

const STORED = "packledger run";
/** What the form does not ask for, because no figure depends on it. */
const NOT_ASKED = { pack: { maker: "not stated", name: "not stated" }, bench: { label: "not stated" } } as const;

type Field = HTMLInputElement | HTMLSelectElement;

/** The form that describes a run: its fields are named as a run file's members, with points between them. */
export class RunForm {
  private readonly form = byId<HTMLFormElement>("run");

  constructor(changed: () => void) {
    this.recall();
    this.form.addEventListener("input", () => {
      this.keep();
      changed();
    });
    this.form.addEventListener("submit", (event) => event.preventDefault());
  }

  /** The run as a run file has it; null while something that is needed is missing. */
  run(): DeclaredRun | null {
    const run: Record<string, unknown> = structuredClone(NOT_ASKED);
    for (const field of this.fields()) {
      if (field.value === "" && field.required) return null;
      if (field.value !== "") put(run, field.name.split("."), enteredIn(field));
    }
    return run;
  }

  /** Takes over what a run file, or what is registered, says; other fields stay. */
  fill(run: DeclaredRun): void {
    for (const field of this.fields()) {
      const value = field.name
        .split(".")
        .reduce<unknown>((at, member) => (at as Record<string, unknown> | null | undefined)?.[member], run);
      if (value === null) field.value = "";
      else if (typeof value === "string" || typeof value === "number") field.value = String(value);
    }
    this.keep();
  }

  /** Suggests how many cells are in series where nothing is entered; whether it did. */
  suggestSeries(series: number): boolean {
    const field = this.field("pack.series");
    if (field?.value !== "") return false;
    field.value = String(series);
    return true;
  }

  /** Says beside each field what is wrong with it; whatever has no field, in the form's status. */
  showErrors(errors: readonly InputError[]): void {
    for (const field of this.fields()) mark(field, "");
    const others = errors.filter(({ pointer = "", message }) => {
      const field = this.field(pointer.slice(1).replaceAll("/", "."));
      if (field) mark(field, message);
      return !field;
    });
    byId("run-status").textContent = others
      .map(({ pointer = "", message }) => `${pointer.slice(1).replaceAll("/", " ")} ${message}`)
      .join("; ");
  }

  /** Labels of the fields that are needed and empty. */
  missing(): string[] {
    return this.fields().flatMap((field) =>
      field.value === "" && field.required ? [field.labels?.[0]?.firstChild?.textContent?.trim() ?? field.name] : [],
    );
  }

  private fields(): Field[] {
    return [...this.form.elements].filter((one): one is Field => "name" in one && one.name !== "");
  }

  private field(name: string): Field | undefined {
    return this.fields().find((field) => field.name === name);
  }

  private keep(): void {
    const entries = this.fields().map(({ name, value }) => [name, value]);
    localStorage.setItem(STORED, JSON.stringify(Object.fromEntries(entries)));
  }

  private recall(): void {
    const stored = JSON.parse(localStorage.getItem(STORED) ?? "{}") as Record<string, string>;
    for (const field of this.fields()) {
      const value = stored[field.name];
      const isChoice = field instanceof HTMLSelectElement;
      if (value && (!isChoice || [...field.options].some((option) => option.value === value))) field.value = value;
    }
  }
}

const enteredIn = (field: Field): unknown => (field.dataset.kind === "number" ? Number(field.value) : field.value);

function put(into: Record<string, unknown>, [first = "", ...rest]: string[], value: unknown): void {
  if (rest.length === 0) into[first] = value;
  else {
    into[first] ??= {};
    put(into[first] as Record<string, unknown>, rest, value);
  }
}

function mark(field: Field, message: string): void {
  field.setAttribute("aria-invalid", String(message !== ""));
  byId(`${field.id}-problem`).textContent = message;
}
