/** How many testers make a standing established; a service sets it for itself. */
export interface StandingPolicy {
  /** Established testers whose results make an established value, 1 to 5. */
  readonly testers: number;
  /** How many of them are reference testers. */
  readonly referenceTesters: number;
  /** Only testers vouched for by moderators count; nobody becomes established by results. */
  readonly vouchedOnly: boolean;
  /** From how many established testers on a record needs a pack from a sealed round; null for never. */
  readonly sealedFrom: number | null;
}

export const MAX_POLICY_TESTERS = 5;

/** What holds while nobody has set anything: the design of this project, simulated, docs/records.md. */
export const DEFAULT_POLICY: StandingPolicy = { testers: 3, referenceTesters: 2, vouchedOnly: false, sealedFrom: null };

/** Whether so many testers, of whom so many are reference testers, make a standing established. */
export function meetsPolicy(
  { testers, referenceTesters }: Pick<StandingPolicy, "testers" | "referenceTesters">,
  counted: { readonly testers: number; readonly referenceTesters: number },
): boolean {
  return counted.testers >= testers && counted.referenceTesters >= referenceTesters;
}

/** The fewest reference testers that a policy may ask for: two, and one where one or two testers make a standing. */
export const minReferenceTesters = (testers: number): number => (testers <= 2 ? 1 : 2);
