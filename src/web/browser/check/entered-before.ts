import type { DeclaredRun } from "./declared-run.js";

const STORED = "packledger entered";
export const GROUPS = ["pack", "bench"] as const;
export type Group = (typeof GROUPS)[number];
export type Entered = Readonly<Partial<Record<Group, DeclaredRun>>>;

/**
 * The pack and the bench that were entered last in this browser. They are offered for the next log, and never enter a run
 * by themselves. A browser may refuse to store anything: then there is nothing to offer.
 */
export function enteredBefore(): Entered {
  try {
    const stored: unknown = JSON.parse(localStorage.getItem(STORED) ?? "{}");
    if (typeof stored !== "object" || stored === null) return {};
    const groups = GROUPS.map((group) => [group, (stored as Record<string, unknown>)[group]] as const);
    return Object.fromEntries(groups.filter(([, value]) => typeof value === "object" && value !== null));
  } catch {
    return {};
  }
}

export function keepEntered(run: DeclaredRun): void {
  const given = GROUPS.filter((group) => run[group] !== undefined).map((group) => [group, run[group]]);
  try {
    localStorage.setItem(STORED, JSON.stringify({ ...enteredBefore(), ...Object.fromEntries(given) }));
  } catch {
    // What cannot be kept is entered again.
  }
}

export function forgetEntered(): void {
  try {
    localStorage.removeItem(STORED);
  } catch {
    // A browser that keeps nothing has nothing to forget.
  }
}
