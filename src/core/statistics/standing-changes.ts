/** A pack's standing in the ranking by a figure under a standard load, within its class of chemistry and cells in series. */
export interface RankedStanding {
  readonly packId: string;
  readonly figure: string;
  /** The standard load, A; null for figures under the runs' own loads. */
  readonly load: number | null;
  readonly chemistry: string;
  readonly series: number;
  readonly unit: string;
  readonly value: number;
  readonly uncertainty: number;
  /** Larger is better. */
  readonly sortValue: number;
}

export interface PlacedValue {
  readonly value: number;
  readonly uncertainty: number;
  /** Place in the class, from 1; equal values share it. */
  readonly place: number;
}

/** A standing that differs; null where it is absent. */
export interface StandingChange {
  readonly packId: string;
  readonly figure: string;
  readonly load: number | null;
  readonly unit: string;
  readonly from: PlacedValue | null;
  readonly to: PlacedValue | null;
}

/** The standings that differ in value, uncertainty or place: those that come or go first, then by change of place, then of value. */
export function standingChanges(before: readonly RankedStanding[], after: readonly RankedStanding[]): StandingChange[] {
  const [from, to] = [placed(before), placed(after)];
  const changes = [...new Map([...from, ...to])].flatMap(([name, { standing }]) => {
    const [old, now] = [from.get(name)?.placed ?? null, to.get(name)?.placed ?? null];
    if (old && now && isSame(old, now)) return [];
    const { packId, figure, load, unit } = standing;
    return [{ packId, figure, load, unit, from: old, to: now }];
  });
  return changes.sort((a, b) => weight(b) - weight(a) || relative(b) - relative(a) || (nameOf(a) < nameOf(b) ? -1 : 1));
}

const nameOf = ({ figure, load, packId }: Pick<RankedStanding, "figure" | "load" | "packId">) =>
  `${figure} ${load} ${packId}`;

function placed(standings: readonly RankedStanding[]) {
  const found = new Map<string, { standing: RankedStanding; placed: PlacedValue }>();
  const classes = Map.groupBy(
    standings,
    ({ figure, load, chemistry, series }) => `${figure} ${load} ${chemistry} ${series}`,
  );
  for (const members of classes.values()) {
    const ordered = members.toSorted((a, b) => b.sortValue - a.sortValue);
    let place = 1;
    ordered.forEach((standing, i) => {
      if (standing.sortValue !== ordered[i - 1]?.sortValue) place = i + 1;
      const { value, uncertainty } = standing;
      found.set(nameOf(standing), { standing, placed: { value, uncertainty, place } });
    });
  }
  return found;
}

const isSame = (a: PlacedValue, b: PlacedValue): boolean =>
  a.value === b.value && a.uncertainty === b.uncertainty && a.place === b.place;

const weight = ({ from, to }: StandingChange): number =>
  from && to ? Math.abs(from.place - to.place) : Number.POSITIVE_INFINITY;

const relative = ({ from, to }: StandingChange): number =>
  from && to && from.value !== 0 ? Math.abs(to.value / from.value - 1) : 0;
