import { isDeepStrictEqual } from "node:util";
import { type DeclaredPack, PACK_FACTS } from "../../core/inputs/pack.js";
import type { Pack } from "../../generated/prisma/client.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { Problem } from "../../platform/problems/problem.js";

type Facts = Partial<Record<keyof DeclaredPack, string | number | null>>;
const MEMBERS = Object.keys(PACK_FACTS) as (keyof DeclaredPack)[];

const differing = (pack: Pack, sent: Facts) =>
  MEMBERS.filter((member) => sent[member] !== undefined && !isDeepStrictEqual(sent[member], pack[member]));

/** What of a pack would be registered otherwise. @throws Problem where something would be left empty that a pack needs */
export function changesOf(pack: Pack, sent: Facts): Facts {
  const changed = differing(pack, sent);
  const missing = changed.filter((member) => sent[member] === null && !("optional" in PACK_FACTS[member]));
  if (missing.length > 0) {
    throw invalidInput(missing.map((member) => ({ pointer: `/${member}`, message: "cannot be left empty" })));
  }
  return Object.fromEntries(changed.map((member) => [member, sent[member]]));
}

/** Some members of a pack as they are, as the audit log keeps them. */
export function textOf(pack: Pack, changes: Facts): string {
  const members = Object.keys(changes) as (keyof DeclaredPack)[];
  return JSON.stringify(Object.fromEntries(members.map((member) => [member, pack[member]])));
}

/** @throws Problem where a pack is registered otherwise by now than somebody saw it */
export function requireAsSeen(pack: Pack, seen: Facts): void {
  const changed = differing(pack, seen);
  if (changed.length === 0) return;
  throw new Problem(
    "decision-not-possible",
    "The pack has been corrected since you looked at it. Look at it again, and confirm what you find.",
    {
      errors: changed.map((member) => ({
        pointer: `/seen/${member}`,
        message: `is registered as ${JSON.stringify(pack[member])} by now`,
      })),
    },
  );
}
