import type { Window } from "./page.js";

/** What of a Prisma query reads a window of a list of versions, the newest first. */
export function byVersion({ after, before, backward, take }: Window) {
  const version = {
    ...(after ? { lt: Number(after[0]) } : {}),
    ...(before ? { gt: Number(before[0]) } : {}),
  };
  return { where: { version }, orderBy: { version: backward ? ("asc" as const) : ("desc" as const) }, take };
}
