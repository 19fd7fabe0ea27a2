/** A pack is proposed by a tester and confirmed by a moderator, who may also hide it from lists and rankings. */
export const PACK_STATUSES = ["proposed", "confirmed", "hidden"] as const;
export type PackStatus = (typeof PACK_STATUSES)[number];

/** Whether a moderator has found a pack to be as it is registered. Only then may its standings be established. */
export function isConfirmed({ confirmedAt }: { readonly confirmedAt: Date | null }): boolean {
  return confirmedAt !== null;
}
