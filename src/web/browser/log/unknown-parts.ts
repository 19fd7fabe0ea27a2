import { FIGURE_KEYS } from "../../../core/figures/catalogue.js";
import type { InputError } from "../../../core/inputs/input-error.js";
import { LADDER_FIGURE_KEYS } from "../../../core/ladder/figures.js";
import type { ProtocolDocument } from "../../../core/protocol/index.js";
import { RULES } from "../../../core/protocol/rules/index.js";

const FIGURES: ReadonlySet<string> = new Set([...FIGURE_KEYS, ...LADDER_FIGURE_KEYS]);

/** What a published version asks for and this script, which may be older, cannot do: no other version stands in for it. */
export function unknownParts({ key, version, rules, figures }: ProtocolDocument): readonly InputError[] {
  const unknown = [
    ...rules.flatMap(({ rule }) => (RULES.has(rule) ? [] : [`rule ${rule}`])),
    ...figures.flatMap((figure) => (FIGURES.has(figure) ? [] : [`figure ${figure}`])),
  ];
  if (unknown.length === 0) return [];
  const message = `${key} version ${version} has parts that this page does not know (${unknown.join(", ")}). Load the page again; until then the service alone can judge by it.`;
  return [{ pointer: "/protocolVersion", message }];
}
