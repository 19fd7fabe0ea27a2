import type { InputError } from "../../../core/inputs/input-error.js";
import { byId, element } from "../elements.js";
import { optionsOf } from "../options.js";
import { type DeclaredRun, memberOf, membersBeside, withEntries } from "./declared-run.js";
import { enteredIn, type Field, labelOf, mark, setField } from "./fields.js";

/** What a check needs of a pack and a bench that no figure depends on, where nobody said it. */
const UNNAMED = new Map([
  ["pack.maker", "not stated"],
  ["pack.name", "not stated"],
  ["bench.label", "not stated"],
]);

/**
 * The form that describes a run: its fields are named as a run file's members, with points between them. What a run file says stays as
 * it is written until somebody edits its field; members without a field stay, and are shown.
 */
export class RunForm {
  private readonly form = byId<HTMLFormElement>("run");
  private declared: DeclaredRun = {};
  private readonly edited = new Set<string>();

  /** @param newestVersion of a protocol; null where the service has none of that key */
  constructor(
    private readonly newestVersion: (protocol: string) => number | null,
    changed: () => void,
  ) {
    this.form.addEventListener("input", ({ target }) => {
      const { name, value } = target as Field;
      this.edited.add(name);
      if (name === "protocol") this.offerVersions(value, null);
      changed();
    });
    this.form.addEventListener("submit", (event) => event.preventDefault());
  }

  /** What was declared and entered so far, as a run file has it. */
  draft(): DeclaredRun {
    const entries = this.fields()
      .filter((field) => this.isOwn(field))
      .map((field): [string, string | number | null] => [field.name, enteredIn(field)]);
    return withEntries(this.declared, new Map(entries));
  }

  /** The run as a run file has it; null while something that is needed is missing. */
  run(): DeclaredRun | null {
    if (this.missing().length > 0) return null;
    const draft = this.draft();
    return withEntries(draft, new Map([...UNNAMED].filter(([name]) => memberOf(draft, name) === undefined)));
  }

  /** Nothing of the run before is left. */
  startAnew(): void {
    this.form.reset();
    this.declared = {};
    this.edited.clear();
    this.offerVersions("", null);
    this.showKept();
    this.showErrors([]);
  }

  /**
   * Takes over what a run file, or what is registered, says. A group that it does not have (the pack, the bench) stays as it was
   * entered; within what it has, what it leaves out is left out.
   */
  fill(run: DeclaredRun): void {
    const isOfTest = "protocol" in run;
    const isReplaced = (name: string) => (name.includes(".") ? (name.split(".", 1)[0] ?? "") in run : isOfTest);
    const { pack, bench, ...test } = this.draft();
    this.declared = { ...(isOfTest ? {} : test), ...(pack ? { pack } : {}), ...(bench ? { bench } : {}), ...run };
    if (isOfTest) this.offerVersions(String(run.protocol), run.protocolVersion);
    for (const field of this.fields().filter(({ name }) => isReplaced(name))) {
      this.edited.delete(field.name);
      setField(field, memberOf(run, field.name));
    }
    this.showKept();
  }

  /** Says beside each field what is wrong with it; whatever has no field, in the form's status. */
  showErrors(errors: readonly InputError[]): void {
    for (const field of this.fields()) mark(field, "");
    const others = errors.filter(({ pointer = "", message }) => {
      const field = this.field(pointer.slice(1).replaceAll("/", "."));
      if (field) mark(field, message);
      return !field;
    });
    this.say(
      others.map(({ pointer = "", message }) => `${pointer.slice(1).replaceAll("/", " ")} ${message}`).join("; "),
    );
  }

  say(text: string): void {
    byId("run-status").textContent = text;
  }

  /** Labels of the fields that are needed and empty. */
  missing(): string[] {
    const isMissing = (field: Field) => field.required && field.value === "" && !this.isDeclared(field);
    return this.fields().filter(isMissing).map(labelOf);
  }

  /** @throws when the form has no such field */
  get<F extends Field>(name: string): F {
    const field = this.field(name);
    if (!field) throw new Error(`the form has no field ${name}`);
    return field as F;
  }

  /** Enters a value as if a person had typed it. */
  enter(name: string, value: string): void {
    const field = this.get(name);
    field.value = value;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }

  /** The field decides, and not what was declared before. */
  private isOwn(field: Field): boolean {
    return this.edited.has(field.name) || (!this.isDeclared(field) && field.value !== "");
  }

  private isDeclared({ name }: Field): boolean {
    const value = memberOf(this.declared, name);
    return !this.edited.has(name) && value !== undefined && value !== null;
  }

  /** The versions of a protocol, the newest where none is chosen; and one that a run file names and the service does not have. */
  private offerVersions(protocol: string, declared: unknown): void {
    const newest = this.newestVersion(protocol) ?? 0;
    const versions = Array.from({ length: newest }, (_, at) => newest - at);
    if (typeof declared === "number" && !versions.includes(declared)) versions.push(declared);
    const select = this.get<HTMLSelectElement>("protocolVersion");
    select.replaceChildren(
      ...optionsOf({ "": newest > 0 ? `the newest, ${newest}` : "the newest" }, ""),
      ...versions.map((version) => element("option", { value: version }, `${version}`)),
    );
    if (declared === null) this.edited.add("protocolVersion");
  }

  private showKept(): void {
    const names = new Set(this.fields().map(({ name }) => name));
    const kept = membersBeside(this.declared, names);
    byId("run-kept").replaceChildren(
      ...(kept.length > 0 ? ["Kept of the run file or of what is registered, and sent with the run: "] : []),
      ...kept.flatMap((member, at) => [at > 0 ? ", " : "", element("bdi", {}, member)]),
    );
  }

  private fields(): Field[] {
    return [...this.form.elements].filter((one): one is Field => "name" in one && one.name !== "");
  }

  private field(name: string): Field | undefined {
    return this.fields().find((field) => field.name === name);
  }
}
