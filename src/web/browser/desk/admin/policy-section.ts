import { element } from "../../elements.js";
import { FieldForm } from "../../form/field-form.js";
import type { Field } from "../../form/fields.js";
import type { Listed, View } from "../../service/view.js";
import type { DeskWork } from "../desk-work.js";
import { moreButton } from "../more-button.js";
import { timeOf } from "../texts.js";

/** A member of a policy as people read it and set it. */
export interface Term {
  readonly name: string;
  readonly label: string;
  readonly hint: string;
  readonly kind: Field["kind"];
  readonly emptyIsNull?: boolean;
  /** What stands for null. */
  readonly none?: string;
  readonly unit?: string;
}

interface Version {
  readonly version: number;
  readonly setBy?: View<"TesterView"> | null;
  readonly setAt?: string | null;
}
interface PastVersion extends Version {
  readonly reason?: string | null;
}

interface Policy {
  readonly title: string;
  readonly about: string;
  /** What follows from a change, said before it is made. */
  readonly follows: string;
  readonly address: string;
  readonly terms: readonly Term[];
}

const PAGE = 10;

/** What holds, a form that changes it with a reason, and every version before, each with what it changed. */
export async function policySection(policy: Policy, desk: DeskWork): Promise<HTMLElement> {
  const { title, about, address, terms } = policy;
  const list = `${address}/versions?first=${PAGE}`;
  const [now, versions] = await Promise.all([
    desk.session.get<Version>(address),
    desk.session.get<Listed<PastVersion>>(list),
  ]);
  const history = element("ol", { class: "history", reversed: true });
  const shown: PastVersion[] = [];
  const add = (items: readonly PastVersion[]) => {
    shown.push(...items);
    history.replaceChildren(...shown.map((one, at) => versionOf(one, shown[at + 1] ?? null, terms)));
  };
  add(versions.items);
  return element(
    "section",
    { class: "sheet", "aria-label": title },
    element("h3", {}, title),
    element("p", {}, about),
    element(
      "dl",
      { class: "terms" },
      ...terms.map((term) =>
        element("div", {}, element("dt", {}, term.label), element("dd", {}, element("b", {}, valueText(term, now)))),
      ),
    ),
    element("p", { class: "small" }, ...setBy(now)),
    element("details", {}, element("summary", {}, "Change it"), changeForm(policy, now, desk)),
    element(
      "details",
      {},
      element("summary", {}, "What it was before"),
      ...(versions.items.length > 0
        ? [history, ...moreButton(versions, list, add, desk, "Earlier versions")]
        : [element("p", { class: "empty" }, "It was never changed.")]),
    ),
  );
}

function changeForm({ title, follows, address, terms }: Policy, now: Version, desk: DeskWork): HTMLElement {
  const fields = terms.map(
    ({ name, label, hint, kind, emptyIsNull = false }): Field => ({
      pointer: `/${name}`,
      label,
      hint,
      kind,
      emptyIsNull,
      value: memberOf(now, name) as string | number | boolean | null,
    }),
  );
  const why: Field = { pointer: "/reason", label: "Why, for the record", kind: "long", maxLength: 1000 };
  const form = new FieldForm(
    { fields: [...fields, why], before: [element("p", {}, follows)], button: "Set it so" },
    async (body) => {
      const set = await desk.session.send<Version>("PUT", address, body);
      await desk.redraw();
      desk.say(`${title}: version ${set.version} holds now.`);
    },
    (work) => desk.during(work),
  );
  return form.element;
}

const memberOf = (version: Version, name: string): unknown => (version as unknown as Record<string, unknown>)[name];

function valueText({ name, unit = "", none = "none" }: Term, version: Version): string {
  const value = memberOf(version, name);
  if (value === null || value === undefined) return none;
  if (typeof value === "boolean") return value ? "yes" : "no";
  return `${value}${unit === "" ? "" : `\u00a0${unit}`}`;
}

function setBy({ version, setBy, setAt }: Version): (Node | string)[] {
  if (version === 0 || !setAt) return ["Nobody has set it: this is what the service begins with."];
  return [`Version ${version}, set by `, element("bdi", {}, setBy?.handle ?? "somebody"), ", ", timeOf(setAt), "."];
}

/** A version, with what it changed of the one before; everything of the first. */
function versionOf(version: PastVersion, before: PastVersion | null, terms: readonly Term[]): HTMLElement {
  const changed = terms.filter((term) => !before || valueText(term, version) !== valueText(term, before));
  return element(
    "li",
    { value: version.version },
    ...setBy(version),
    element(
      "ul",
      { class: "small" },
      ...changed.map((term) =>
        element(
          "li",
          {},
          `${term.label}: ${before ? `${valueText(term, before)} \u2192 ` : ""}${valueText(term, version)}`,
        ),
      ),
      changed.length === 0 && element("li", {}, "Set as it was."),
    ),
    element("p", { class: "words" }, version.reason ?? "The words of its reason were erased."),
  );
}
