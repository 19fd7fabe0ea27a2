/** What a notice's text is made of, beside what it refers to. */
export interface NoticeFacts {
  /** Ids of the rules that a decision or an evaluation names. */
  readonly rules?: readonly string[];
  /** What it was before and is now, in the words of the API. */
  readonly from?: string | null;
  readonly to?: string | null;
  /** Why something was not reached. */
  readonly fault?: string;
  /** Another run that it is about. */
  readonly otherRunId?: string;
}

/** What a notice can refer to, and where the REST API has it. */
export const SUBJECTS = {
  run: (id: string) => `/v1/runs/${id}`,
  webhook: (id: string) => `/v1/webhooks/${id}`,
  "mail-address": () => "/v1/accounts/me/mail-address",
} as const satisfies Record<string, (id: string) => string>;
export type NoticeSubject = keyof typeof SUBJECTS;

interface NoticeKindEntry {
  readonly title: string;
  /** What it tells of, for the contract. */
  readonly meaning: string;
  readonly subject: NoticeSubject;
  /** One or two sentences: what happened, and what can be done. */
  readonly text: (facts: NoticeFacts) => string;
}

const rulesOf = ({ rules = [] }: NoticeFacts): string => (rules.length > 0 ? ` Rules: ${rules.join(", ")}.` : "");
const verdictOf = (verdict: string | null | undefined): string => verdict ?? "could not be evaluated";

/**
 * Every kind of notice. A new one needs an entry here and a call of `NoticeWriter.tell` in the transaction of what it
 * tells of.
 */
const CATALOGUE = {
  question: {
    title: "A moderator has a question about your run",
    meaning: "A moderator asks about one of your runs",
    subject: "run",
    text: (facts) =>
      `The question is shown with the run. Answer it, or send another run in its place.${rulesOf(facts)}`,
  },
  "run-accepted": {
    title: "Your run was accepted",
    meaning: "One of your runs was accepted",
    subject: "run",
    text: () => "The run is public and counts in the standings of its pack.",
  },
  "run-rejected": {
    title: "Your run was rejected",
    meaning: "One of your runs was rejected",
    subject: "run",
    text: (facts) => `The run's history has the reason. You can appeal once.${rulesOf(facts)}`,
  },
  "acceptance-revoked": {
    title: "The acceptance of your run was revoked",
    meaning: "A run of yours that was accepted does not conform under another version, and waits again",
    subject: "run",
    text: (facts) => `The run does not conform under the version that is now active; it waits again.${rulesOf(facts)}`,
  },
  "decision-undone": {
    title: "A decision on your run was undone",
    meaning: "A decision on one of your runs was taken back",
    subject: "run",
    text: ({ from, to }) => `The run was ${from}, and is ${to} again.`,
  },
  "verdict-changed": {
    title: "Your run has another verdict",
    meaning: "A re-evaluation gave one of your runs another verdict",
    subject: "run",
    text: (facts) => `Before: ${verdictOf(facts.from)}. Now: ${verdictOf(facts.to)}.${rulesOf(facts)}`,
  },
  "appeal-waits": {
    title: "An appeal waits for an administrator",
    meaning: "You are an administrator, and no moderator can decide on an appeal",
    subject: "run",
    text: ({ to }) =>
      to === "nobody"
        ? "There is no other moderator: appoint one, who then decides on it."
        : "There is no other moderator without a conflict of interest: decide on it, or appoint one.",
  },
  "copy-found": {
    title: "Your run looks like another one",
    meaning: "One of your runs looks like the same measurement as a run that you may see",
    subject: "run",
    text: ({ otherRunId }) => `It looks like the same measurement as run ${otherRunId}. A moderator decides on it.`,
  },
  "webhook-disabled": {
    title: "Your webhook was disabled",
    meaning: "Nothing more is sent to one of your webhooks, since it failed again and again or asked for that",
    subject: "webhook",
    text: ({ fault }) => `Last try: ${fault}. What it did not take is listed with it; enable it again when it works.`,
  },
  "mail-refused": {
    title: "Your e-mail address was refused",
    meaning:
      "The server of the address that your notices were mailed to says that there is no such address, and it is forgotten",
    subject: "mail-address",
    text: () =>
      "Its server says that there is no such address, and it was removed. Set another one to have your notices mailed.",
  },
  "mail-failed": {
    title: "Your notices could not be mailed",
    meaning:
      "What was to be mailed to your address was not taken again and again, and was given up; the address is kept",
    subject: "mail-address",
    text: ({ fault }) =>
      `Last answer: ${fault}. What was given up is in the list of your notices. Check the address; later notices are mailed to it when it works again.`,
  },
} as const satisfies Record<string, NoticeKindEntry>;

export type NoticeKind = keyof typeof CATALOGUE;
export const NOTICE_KINDS = Object.keys(CATALOGUE) as NoticeKind[];
export const NOTICES: Readonly<Record<NoticeKind, NoticeKindEntry>> = CATALOGUE;
