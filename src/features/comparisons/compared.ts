import { isUuid } from "../../platform/database/rows/uuid.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { requireAll } from "../../platform/problems/problem.js";
import { type ComparisonOptions, MAX_COLUMNS } from "./comparisons.args.js";
import { COMPARED_KINDS, type ComparedKind } from "./comparisons.views.js";

/** What is compared, and how. */
export interface Compared extends ComparisonOptions {
  readonly packs?: readonly string[] | null;
  readonly runs?: readonly string[] | null;
  readonly specimens?: readonly string[] | null;
  readonly ladders?: readonly string[] | null;
  /** Marks and spans to read at, as a link has them: with commas between. */
  readonly at?: string | null;
  readonly span?: string | null;
  /** What a picture shows. */
  readonly show?: readonly string[] | null;
  readonly against?: string | null;
}

/** What chooses a load, a place or a curve: ladders have none of these. */
const NOT_OF_LADDERS = ["load", "at", "span", "cutoff", "points", "show", "against"] as const;

/** The columns that are asked for: of one kind, each once, none that cannot be. */
export function columnsAsked(compared: Compared): { kind: ComparedKind; ids: string[] } {
  const [kind, ...others] = COMPARED_KINDS.filter((one) => compared[`${one}s`] != null);
  if (kind === undefined || others.length > 0) {
    const message = "must be sent, or runs, specimens or ladders in their place, and only one of these";
    throw invalidInput([{ pointer: "/packs", message }]);
  }
  const ids = [...new Set((compared[`${kind}s`] ?? []).map((text) => text.trim().toLowerCase()))];
  requireAll(kind === "ladder" ? "specimen" : kind, `/${kind}s`, ids, isUuid);
  if (ids.length < 2 || ids.length > MAX_COLUMNS) {
    throw invalidInput([{ pointer: `/${kind}s`, message: `must name 2 to ${MAX_COLUMNS} different ones` }]);
  }
  if (kind === "ladder") refuseForLadders(compared);
  return { kind, ids };
}

function refuseForLadders(compared: Compared): void {
  const sent = NOT_OF_LADDERS.filter((name) => compared[name] != null);
  if (sent.length === 0) return;
  const message = "is not for ladders, whose steps each have a current of their own: leave it out, or send specimens";
  throw invalidInput(sent.map((name) => ({ pointer: `/${name}`, message })));
}

/** The address of a comparison with everything that the service chose written out, so that it stays the same. */
export function linkTo(
  kind: ComparedKind,
  ids: readonly string[],
  { baseline, load, at, span, cutoff, points }: Compared,
): string {
  const chosen = Object.entries({ baseline, load, at, span, cutoff, points }).filter(([, value]) => value != null);
  const query = chosen.map(([name, value]) => `&${name}=${encodeURIComponent(String(value)).replaceAll("%2C", ",")}`);
  return `/v1/comparisons?${kind}s=${ids.join(",")}${query.join("")}`;
}
