import type { ProtocolDocument } from "../../../core/protocol/index.js";
import { isReference } from "../../../core/record/status.js";
import type { ConfirmedValue } from "../../../generated/prisma/client.js";
import type { ActiveProtocol } from "../../protocols/active-version.service.js";
import type { NewStanding, RankedPack } from "../standings.repository.js";
import { carriedOver, confirmedName, type FigureStanding, type StandingFacts } from "./pack-figures.js";

/** Whether packs are ranked by a figure and basis under a protocol. */
export const isRanked = ({ ranked }: ProtocolDocument, { figure, basis }: FigureStanding): boolean =>
  ranked.some((one) => one.figure === figure && one.basis === basis);

/** Runs at currents of their testers' choice have no mean that says something of the pack: of these only what is ranked. */
export function isOfPack({ load, ranked }: ProtocolDocument, key: string): boolean {
  return load.kind !== "set-current" || ranked.some(({ figure }) => figure === key);
}

/** The rows of a pack's standings. */
export function standingsOf(
  { id: packId, chemistry, series, ratedCapacityMah }: RankedPack,
  { protocol, computationVersion }: ActiveProtocol,
  found: readonly FigureStanding[],
): NewStanding[] {
  return protocol.ranked.flatMap(({ figure, basis, better }) => {
    const own = found.find((one) => one.figure === figure && one.basis === "own");
    return found
      .filter((one) => one.figure === figure && one.basis === basis)
      .map(({ load, unit, standing }) => ({
        figure,
        basis,
        load,
        unit,
        value: standing.value,
        uncertainty: standing.uncertainty,
        degreesOfFreedom: standing.degreesOfFreedom,
        testers: standing.testers,
        runs: standing.runs,
        established: standing.established,
        disputed: standing.disputed,
        computedValue: standing.disputed ? standing.computedValue : null,
        testersBeside: standing.testersBeside,
        held: standing.heldTesterIds.length,
        protocolKey: protocol.key,
        protocolVersion: protocol.version,
        computationVersion,
        packId,
        chemistry,
        series,
        ratedCapacityMah,
        ownLoadValue: own?.standing.value ?? null,
        sortValue: better === "higher" ? standing.value : -standing.value,
      }));
  });
}

/**
 * What is confirmed of ranked figures once these standings stand: what had been, also of packs that have no results left, and what was
 * established for the first time.
 *
 * @param before what is confirmed of these packs
 */
export function confirmedAfter(
  protocol: ProtocolDocument,
  found: readonly FigureStanding[],
  before: ReadonlyMap<string, ConfirmedValue>,
): ConfirmedValue[] {
  const after = new Map(before);
  for (const one of found) {
    const { confirmed } = one.standing;
    if (!confirmed || !isRanked(protocol, one)) continue;
    const { byModerator: _, ...values } = confirmed;
    const name = confirmedName(one);
    const stored = before.get(name);
    const isKept = stored?.value === values.value && stored.vouchedTesters === values.vouchedTesters;
    after.set(name, {
      protocolKey: protocol.key,
      packId: one.packId,
      figure: one.figure,
      load: one.load,
      ...values,
      moderatorId: isKept ? stored.moderatorId : null,
      confirmedAt: isKept ? stored.confirmedAt : new Date(),
    });
  }
  return [...after.values()];
}

/** What is confirmed, carried over to what a full computation gives. */
export function carryOver(
  { confirmed }: StandingFacts,
  found: readonly FigureStanding[],
): ReadonlyMap<string, ConfirmedValue> {
  const carried = new Map(confirmed);
  for (const one of found) {
    const stored = confirmed.get(confirmedName(one));
    if (stored && one.standing.established) {
      carried.set(confirmedName(one), carriedOver(stored, one.standing.consensus.value));
    }
  }
  return carried;
}

/** Whose records are held against results that have changed: the tester's own, and those of the pack's others where the tester is a reference. */
export function judgedAgain(testerId: string, found: readonly FigureStanding[]): Set<string> {
  const results = found.flatMap((one) => one.results);
  const own = results.find((one) => one.testerId === testerId);
  return new Set([testerId, ...(own && isReference(own.status) ? results.map((one) => one.testerId) : [])]);
}

/** Everybody whose results are behind these standings. */
export const testersIn = (found: readonly FigureStanding[]): Set<string> =>
  new Set(found.flatMap(({ results }) => results.map(({ testerId }) => testerId)));
