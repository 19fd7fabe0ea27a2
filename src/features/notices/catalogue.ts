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
  /** Members of a pack that were corrected. */
  readonly changed?: readonly string[];
}

/** What a notice can refer to, and where the REST API has it. */
export const SUBJECTS = {
  run: (id: string) => `/v1/runs/${id}`,
  pack: (id: string) => `/v1/packs/${id}`,
  account: () => "/v1/accounts/me",
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
  "run-moved": {
    title: "A moderator moved your run",
    meaning: "One of your runs was moved to another specimen of yours, mostly one of another pack",
    subject: "run",
    text: ({ from, to }) =>
      from === to
        ? "It is of another specimen of yours now. Until it is accepted you can move it yourself."
        : `It was of pack ${from} and is of pack ${to} now, with which it is evaluated anew. Until it is accepted you can move it yourself.`,
  },
  "withdrawal-excused": {
    title: "The withdrawal of your run was excused",
    meaning: "A moderator accepted why one of your runs was withdrawn when its figures had been seen",
    subject: "run",
    text: () => "The run has left your means and your record.",
  },
  "pack-corrected": {
    title: "A pack that you registered was corrected",
    meaning: "Somebody else, or what reference testers weighed, corrected a pack that you registered",
    subject: "pack",
    text: ({ changed = [] }) =>
      `Changed: ${changed.join(", ")}. Runs of the pack are evaluated anew where their figures rest on that.`,
  },
  "pack-confirmed": {
    title: "A pack that you registered was confirmed",
    meaning: "A moderator confirmed a pack that you registered",
    subject: "pack",
    text: () => "Moderators correct it from now on.",
  },
  "pack-unconfirmed": {
    title: "The confirmation of a pack that you registered was taken back",
    meaning: "A pack that you registered is proposed again",
    subject: "pack",
    text: () => "The pack is proposed again. Look at what is registered of it.",
  },
  "pack-hidden": {
    title: "A pack of yours was hidden",
    meaning: "A moderator hid a pack that you registered, or of which you have a specimen",
    subject: "pack",
    text: () =>
      "It has left lists, searches and standings, and so have its runs. Nothing is deleted, and it can be shown again.",
  },
  "pack-shown": {
    title: "A pack of yours is shown again",
    meaning: "A hidden pack that you registered, or of which you have a specimen, is shown again",
    subject: "pack",
    text: () => "Its accepted runs count in its standings again.",
  },
  "pack-merged": {
    title: "A pack of yours was merged with another",
    meaning:
      "A moderator merged a pack that you registered, or of which you have a specimen, with another that is the same",
    subject: "pack",
    text: ({ from, to }) =>
      `Pack ${from} is pack ${to} now, with all its specimens and runs; its address leads there. A moderator can undo it.`,
  },
  "pack-separated": {
    title: "A merge of a pack of yours was undone",
    meaning: "A pack that you registered, or of which you have a specimen, is one of its own again",
    subject: "pack",
    text: ({ from, to }) =>
      `Pack ${to} was merged into pack ${from} and is one of its own again, with the specimens and runs that came from it.`,
  },
  "sealed-round-opened": {
    title: "A sealed round of a pack of yours was opened",
    meaning: "Results of a pack that you registered, or of which you have a specimen, stay unseen until a round closes",
    subject: "pack",
    text: ({ to }) => `Nobody sees a result of it before ${to}, and its runs stay where they are until then.`,
  },
  "held-result-decided": {
    title: "A moderator decided on a held result of yours",
    meaning: "A result of yours that was too far from the others to count by itself was decided on",
    subject: "pack",
    text: ({ to }) =>
      to === "count" ? "It counts in the standing of the pack." : "It is left out of the standing of the pack.",
  },
  "vouched-for": {
    title: "A moderator vouches for you",
    meaning: "You count as a reference tester from now on",
    subject: "account",
    text: () => "You count as a reference tester: the records of others are judged by your results too.",
  },
  "vouch-revoked": {
    title: "Nobody vouches for you any more",
    meaning: "It was taken back that a moderator vouches for you",
    subject: "account",
    text: () => "Whether you count as a reference tester follows from your record alone.",
  },
  "account-suspended": {
    title: "Your account was suspended",
    meaning: "A moderator suspended your account",
    subject: "account",
    text: () =>
      "Your runs have left the standings, and nothing is deleted. You can read, end your sessions and have your personal data erased.",
  },
  "suspension-lifted": {
    title: "The suspension of your account was lifted",
    meaning: "Your account is not suspended any more",
    subject: "account",
    text: () => "Your accepted runs count in the standings again.",
  },
  "role-changed": {
    title: "You have another role",
    meaning: "An administrator gave your account another role",
    subject: "account",
    text: ({ from, to }) => `You were ${from} and are ${to} now.`,
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
