import { AUTO_ACCEPT_CRITERIA } from "../../core/auto-accept/criteria.js";
import { COPY_CHANNELS } from "../../core/copies/residual.js";
import { FIGURE_KEYS, unitOfFigure } from "../../core/figures/catalogue.js";
import { DIRECTIONS } from "../../core/figures/descriptions.js";
import { FINDING_CAUSES } from "../../core/history/evaluation-changes.js";
import { LOAD_KINDS, SENSE_POINTS } from "../../core/inputs/bench.js";
import { CHEMISTRIES } from "../../core/inputs/pack.js";
import { LADDER_FIGURES } from "../../core/ladder/figures.js";
import { DECISIONS, REVIEW_STATES, RUN_STATES } from "../../core/lifecycle/run-lifecycle.js";
import { BASES, BOUNDS, CHANNELS, LOAD_BASES, OUTCOMES, SEVERITIES, STOP_REASONS, VERDICTS } from "../../core/model.js";
import { SIGN_NAMES } from "../../core/plausibility/signs.js";
import { ROLES, SCOPES } from "../auth/account.js";
import { declareEnum } from "./enumeration.js";

// The closed sets of core, as both APIs name them. A set of one feature alone is declared beside it.

/** Keys of the figures of runs, then of those of ladders. */
export const ALL_FIGURE_KEYS: readonly string[] = [...FIGURE_KEYS, ...Object.keys(LADDER_FIGURES)];

const unitsOfLadders: Readonly<Record<string, string>> = LADDER_FIGURES;
declareEnum(ALL_FIGURE_KEYS, {
  name: "FigureKey",
  description: "A figure of the catalogue, each with one definition and one unit",
  meanings: Object.fromEntries(
    ALL_FIGURE_KEYS.map((key) => [key, `\`${key}\` in REST; unit ${unitOfFigure(key) ?? unitsOfLadders[key]}`]),
  ),
});

declareEnum(CHEMISTRIES, {
  name: "Chemistry",
  description: "Chemistry of a pack's cells",
  meanings: {
    lipo: "Lithium polymer",
    lihv: "Lithium polymer, charged to a higher voltage",
    liion: "Lithium ion, cylindrical cells as a rule",
    lifepo4: "Lithium iron phosphate",
  },
});

declareEnum(LOAD_KINDS, {
  name: "LoadKind",
  description: "What a load holds constant",
  meanings: {
    throttle: "A motor and its controller at a constant throttle",
    "constant-current": "An electronic load that holds its amperes, whatever the voltage",
    "constant-resistance": "A resistor, or a load that acts as one",
    "constant-power": "An electronic load that holds its watts, whatever the voltage",
  },
});

declareEnum(SENSE_POINTS, {
  name: "SensePoint",
  description: "Where a bench takes the voltage",
  meanings: {
    pack: "At the pack's own terminals",
    lead: "Past leads or a connector, whose resistance is corrected for",
  },
});

declareEnum(CHANNELS, {
  name: "Channel",
  description: "What a column of a log was read as",
  meanings: {
    time: "Time of the sample",
    voltage: "Voltage of the pack",
    current: "Current of the pack",
    temperature: "Temperature of the pack",
    power: "Power, as the logger computed it",
    charge: "Charge drawn, as the logger counted it",
    energy: "Energy drawn, as the logger counted it",
    cell: "Voltage of one cell",
  },
});

declareEnum(SIGN_NAMES, {
  name: "PlausibilitySignName",
  description: "What may look made up in a run",
  meanings: {
    "no-recovery": "The voltage stands still after the load has ended: a pack relaxes",
    "no-sag": "The voltage falls at an even pace from the first second on: a pack relaxes",
    "heat-missing": "The temperature rises by far less than the run's own heat gives",
    "heat-excessive": "The temperature rises by far more than the run's own heat gives",
    "resistance-below-class": "The resistance for the capacity is far below that of every other pack of the chemistry",
    "voltage-above-chemistry": "The mean voltage of a cell is above what the chemistry gives",
    "energy-above-class": "The energy for the mass is far above that of every other pack of the chemistry",
    "leads-beyond-copper":
      "A pair of copper leads of 1 m with the resistance that is declared of the leads would not survive the load",
    "leads-raise-power": "The resistance that is declared of the leads raises the power by more than leads usually do",
    "load-still": "The load shows nothing but noise that is the same at all frequencies; an electronic load does too",
    "best-in-everything": "Every ranked figure is above those of all other packs of the class",
  },
});

declareEnum(COPY_CHANNELS, {
  name: "CopyChannel",
  description: "What two runs are held against each other by",
  meanings: {
    voltage: "Voltage of the pack",
    current: "Current of the pack",
    load: "What the load did by itself over seconds: current beside the course that the voltage gives it",
  },
});

declareEnum(STOP_REASONS, {
  name: "StopReason",
  description: "Why the load ended",
  meanings: {
    cutoff: "The voltage cutoff was reached",
    "temperature-limit": "The temperature limit was reached",
    "log-end": "The log ends under load",
    "load-lost": "The load fell away by itself",
    operator: "The tester ended it",
  },
});

declareEnum(BASES, {
  name: "Basis",
  description: "What a figure of a run was read from",
  meanings: {
    measured: "The log as it is",
    corrected: "The log with the current's zero or the leads' resistance corrected",
    translated: "The trace as it would have been under a standard load",
  },
});

declareEnum(LOAD_BASES, {
  name: "LoadBasis",
  description: "Under which load the runs behind a value are taken",
  meanings: { own: "Each run under its own load", translated: "All runs under one standard load" },
});

declareEnum(DIRECTIONS, {
  name: "BetterDirection",
  description: "Which way a figure is better",
  meanings: { higher: "A larger value is better", lower: "A smaller value is better" },
});

declareEnum(BOUNDS, {
  name: "Bound",
  description: "Whether a value is only a bound of the true one",
  meanings: {
    none: "The value itself",
    lower: "The true value is at least this",
    upper: "The true value is at most this",
  },
});

declareEnum(SEVERITIES, {
  name: "Severity",
  description: "What follows when a rule fails",
  meanings: {
    required: "The run does not conform",
    corrected: "It was mended, and the run conforms adjusted",
    advised: "Nothing: a remark for the next time",
  },
});

declareEnum(OUTCOMES, {
  name: "Outcome",
  description: "How a run stands to a rule",
  meanings: {
    pass: "It keeps the rule",
    fail: "It breaks the rule",
    "not-assessable": "What the rule looks at is not in the log or was not declared",
  },
});

declareEnum(VERDICTS, {
  name: "Verdict",
  description: "What all findings of a run together say",
  meanings: {
    conforming: "Every required rule is kept, and nothing had to be mended",
    "conforming-adjusted": "Every required rule is kept after corrections that are listed",
    nonconforming: "A required rule is broken or cannot be assessed",
  },
});

declareEnum(FINDING_CAUSES, {
  name: "FindingCause",
  description: "Why a finding differs between two evaluations",
  meanings: {
    "rule-added": "The rule was not set before",
    "rule-removed": "The rule is set no more",
    limit: "Its limit changed",
    severity: "Its severity changed",
    observed: "What was observed changed",
    computation: "The same was observed and is judged otherwise",
  },
});

declareEnum(RUN_STATES, {
  name: "RunState",
  description: "What the service has done with a run",
  meanings: {
    queued: "It waits to be evaluated",
    processing: "It is being evaluated",
    processed: "It was evaluated",
    failed: "Its log could not be read",
  },
});

declareEnum(REVIEW_STATES, {
  name: "ReviewState",
  description: "What people have decided about a run; only accepted ones are public and count",
  meanings: {
    pending: "It waits for a decision",
    "info-requested": "A moderator asked its tester something",
    accepted: "It is public and counts",
    rejected: "It does not count; its tester may appeal once",
    withdrawn: "Its tester took it back; it stays in the record",
  },
});

declareEnum(DECISIONS, {
  name: "Decision",
  description: "What a moderator decides on a run",
  meanings: { accept: "It counts", reject: "It does not count", "request-info": "Its tester is asked first" },
});

declareEnum(ROLES, {
  name: "Role",
  description: "What an account may do",
  meanings: {
    tester: "Register packs, specimens and benches, upload runs",
    moderator: "All that, and decide on runs of others",
    administrator: "All that, and give roles, publish protocols, start re-evaluations",
  },
});

declareEnum(SCOPES, {
  name: "Scope",
  description: "What a key may be used for",
  meanings: {
    read: "Reading",
    write: "Changing what is its owner's",
    review: "Deciding on runs of others, where its owner may",
  },
});

declareEnum(AUTO_ACCEPT_CRITERIA, {
  name: "AcceptanceTerm",
  description: "A term of the rule by which runs are accepted without a moderator",
  meanings: {
    untouched: "It waits, and no moderator has had anything to do with it",
    "active-version": "It was evaluated under the active version of its protocol",
    conforming: "It conforms",
    "no-failed-advice": "No advised rule failed",
    compared: "It was compared with all other runs",
    "no-copy": "It looks like no earlier run, and like no accepted one",
    "new-log": "No other run has the same log",
    "accepted-by-moderators": "Enough runs of its tester were accepted by moderators",
    "no-blemish": "No run of its tester was rejected of late",
    "account-age": "Its tester has been registered for long enough",
    "pack-of-another": "Its tester did not register the pack",
    "ranked-by-itself": "It has every ranked figure by itself",
    "other-testers": "Enough other testers have measured the pack",
    "agrees-with-others": "It agrees with them within the uncertainties",
    "near-others": "It is near to what they found, in percent",
    "places-stay": "No place of any pack changes by it",
    "few-today": "The rule has accepted few enough runs of its tester within 24 h",
    "none-withdrawn-unseen":
      "No run of the tester was withdrawn before a moderator decided on it, nor moved away when its figures had been seen, or one decided on a run after it",
    "not-sampled": "It is not one of those that a moderator sees all the same",
  },
});
