import type { Window } from "./page.js";

/** What of a Prisma query reads a window of a list that is ordered by ids. */
export function byId({ after, before, backward, take }: Window, order: "asc" | "desc") {
  const [behind, ahead] = order === "asc" ? (["gt", "lt"] as const) : (["lt", "gt"] as const);
  const id = {
    ...(after ? { [behind]: String(after[0]) } : {}),
    ...(before ? { [ahead]: String(before[0]) } : {}),
  };
  const opposite = order === "asc" ? ("desc" as const) : ("asc" as const);
  return { where: { id }, orderBy: { id: backward ? opposite : order }, take };
}
