import type { View } from "../../api/public-api.js";

/** What describes a pack that is not in the record: names of the form's fields, as the API takes them. */
export const DESCRIPTION = ["chemistry", "series", "ratedCapacityMah", "labelContinuousC", "massGrams"] as const;
const NEEDED = ["chemistry", "series", "ratedCapacityMah"] as const;

/** What the form says, as it was typed. */
export interface PlanChoice {
  readonly protocol: View<"ProtocolView">;
  readonly packId: string | null;
  readonly specimenId: string | null;
  readonly load: string | null;
  readonly described: Readonly<Partial<Record<(typeof DESCRIPTION)[number], string>>>;
  /** Whether a plan is asked for, and not only the form. */
  readonly isAsked: boolean;
}

/** @param protocols of which one under full load is taken where none is named, or one that there is not */
export function choiceOf(query: URLSearchParams, protocols: readonly View<"ProtocolView">[]): PlanChoice | null {
  const said = (name: string): string | null => query.get(name)?.trim() || null;
  const named = protocols.find(({ key }) => key === said("protocol"));
  const protocol = named ?? protocols.find(takesAnyLoad) ?? protocols[0];
  if (!protocol) return null;
  const given = DESCRIPTION.flatMap((name) => (said(name) === null ? [] : [[name, said(name)]]));
  const packId = said("pack");
  return {
    protocol,
    packId,
    specimenId: packId && isLadder(protocol) ? said("specimen") : null,
    load: said("load"),
    described: Object.fromEntries(given),
    isAsked: packId !== null || said("protocol") !== null,
  };
}

/** A ladder goes on from the steps that a specimen has done. */
export const isLadder = (protocol: View<"ProtocolView">): boolean => loadKind(protocol) === "set-current";

/** Any load that comes near will do, and is translated to standard loads; other protocols ask for a constant current. */
export const takesAnyLoad = (protocol: View<"ProtocolView">): boolean => loadKind(protocol) === "full";

const loadKind = ({ document }: View<"ProtocolView">): string | undefined =>
  (document as { readonly load?: { readonly kind?: string } }).load?.kind;

export const lacksPack = ({ packId, described }: PlanChoice): boolean =>
  packId === null && NEEDED.some((name) => described[name] === undefined);

/** As the API is asked: numbers go as they were typed, and it says what is wrong with them. */
export function questionOf({ protocol, packId, specimenId, load, described }: PlanChoice): {
  readonly protocol: string;
} {
  const pack = specimenId ? { specimenId } : packId ? { packId } : described;
  const question = { protocol: protocol.key, ...pack, load };
  return question;
}
