/** What was noted at the bench for a run that is to be checked later. */
export interface Draft {
  /** Address of the plan that it was noted under: one draft of each plan. */
  readonly plan: string;
  /** What it is called: the test. */
  readonly title: string;
  /** As a run file has it. */
  readonly run: Readonly<Record<string, unknown>>;
  /** When it was last changed (ISO 8601). */
  readonly notedAt: string;
}

const STORED = "packledger drafts";
const MAX_DRAFTS = 12;

/** Drafts of this browser, the newest first. A browser may refuse to store anything: then there are none. */
export function drafts(): readonly Draft[] {
  try {
    const stored: unknown = JSON.parse(localStorage.getItem(STORED) ?? "[]");
    return Array.isArray(stored) ? stored.filter(isDraft) : [];
  } catch {
    return [];
  }
}

/** @returns whether the browser keeps it */
export function keepDraft(draft: Draft): boolean {
  return store([draft, ...drafts().filter(({ plan }) => plan !== draft.plan)].slice(0, MAX_DRAFTS));
}

export const forgetDraft = (plan: string): boolean => store(drafts().filter((one) => one.plan !== plan));

function store(all: readonly Draft[]): boolean {
  try {
    localStorage.setItem(STORED, JSON.stringify(all));
    return true;
  } catch {
    return false;
  }
}

function isDraft(value: unknown): value is Draft {
  if (typeof value !== "object" || value === null) return false;
  const { plan, title, run, notedAt } = value as Record<string, unknown>;
  return [plan, title, notedAt].every((one) => typeof one === "string") && typeof run === "object" && run !== null;
}
