import { element } from "../elements.js";

/** What the service answers to an upload, as far as it is shown. */
export interface SubmittedRun {
  readonly id: string;
  readonly state: string;
  readonly review: string | null;
  readonly protocol: { readonly key: string; readonly version: number };
  readonly conformance: { readonly verdict: string } | null;
  readonly error: { readonly message: string } | null;
}

const REVIEWS: Readonly<Record<string, string>> = {
  accepted: "It was accepted and is public.",
  rejected: "It was rejected.",
  withdrawn: "It was withdrawn.",
  pending: "It is not public before a moderator, or the service's own policy, accepts it.",
};

/** What became of a run that was sent, in the words of its state. */
export function submittedText({ id, state, review, conformance, error }: SubmittedRun): (string | HTMLElement)[] {
  const link = element("a", { href: `/v1/runs/${id}` }, `run ${id}`);
  const what: Readonly<Record<string, string>> = {
    processed: `Stored and evaluated by the service (${conformance?.verdict ?? "no verdict"}): `,
    failed: `Stored, but the service could not evaluate it (${error?.message ?? "no reason given"}): `,
  };
  return [what[state] ?? "Stored; the service evaluates it now: ", link, `. ${REVIEWS[review ?? ""] ?? ""}`.trimEnd()];
}
