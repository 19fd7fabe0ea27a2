import type { View } from "../service/view.js";
import { showAccounts } from "./admin/accounts.js";
import { showPolicies } from "./admin/policies.js";
import { showProtocol } from "./admin/protocol.js";
import { showProtocols } from "./admin/protocols.js";
import { showReevaluation } from "./admin/reevaluation.js";
import { showReevaluations } from "./admin/reevaluations.js";
import { showCalibration } from "./calibration.js";
import type { DeskView } from "./desk-work.js";
import { showNotices } from "./notices.js";
import { showBenches } from "./own/benches.js";
import { showColumnMaps } from "./own/column-maps.js";
import { showSpecimens } from "./own/specimens.js";
import { showDuplicates, showLikeness } from "./register/duplicates.js";
import { showMerge } from "./register/merge.js";
import { showDecisions } from "./review/decisions.js";
import { showEvidence } from "./review/evidence.js";
import { showProposedPacks } from "./review/packs.js";
import { showQueue } from "./review/queue.js";
import { showStandings } from "./review/standings.js";
import { showOwnRun } from "./runs/own-run.js";
import { showOwnRuns } from "./runs/own-runs.js";

type Role = View<"AccountView">["role"];

interface Place {
  readonly title: string;
  readonly show: DeskView;
  readonly group: Group;
  /** Reached from another view, under which it stands. */
  readonly under?: string;
}

/** Views by who may see them: a role and those above it. */
type Group = "own" | "review" | "admin";
const MAY: Readonly<Record<Group, readonly Role[]>> = {
  own: ["tester", "moderator", "administrator"],
  review: ["moderator", "administrator"],
  admin: ["administrator"],
};
export const GROUPS: readonly (readonly [group: Group, title: string])[] = [
  ["own", "Your own"],
  ["review", "Moderation"],
  ["admin", "Administration"],
];

export const FIRST = "runs";

/** The views of the desk, by the names that the address gives them behind its hash. */
export const PLACES: Readonly<Record<string, Place>> = {
  runs: { title: "Your runs", show: showOwnRuns, group: "own" },
  run: { title: "Your run", show: showOwnRun, group: "own", under: "runs" },
  notices: { title: "Notices", show: showNotices, group: "own" },
  calibration: { title: "Calibration", show: showCalibration, group: "own" },
  specimens: { title: "Specimens", show: showSpecimens, group: "own" },
  benches: { title: "Benches", show: showBenches, group: "own" },
  columns: { title: "Column maps", show: showColumnMaps, group: "own" },
  queue: { title: "To decide", show: showQueue, group: "review" },
  review: { title: "Evidence", show: showEvidence, group: "review", under: "queue" },
  packs: { title: "Packs to confirm", show: showProposedPacks, group: "review" },
  duplicates: { title: "Duplicates", show: showDuplicates, group: "review" },
  likeness: { title: "Packs like it", show: showLikeness, group: "review", under: "duplicates" },
  merge: { title: "Two packs", show: showMerge, group: "review", under: "duplicates" },
  standings: { title: "Disputed standings", show: showStandings, group: "review" },
  decisions: { title: "Your decisions", show: showDecisions, group: "review" },
  accounts: { title: "Accounts", show: showAccounts, group: "admin" },
  policies: { title: "Policies", show: showPolicies, group: "admin" },
  protocols: { title: "Protocols", show: showProtocols, group: "admin" },
  protocol: { title: "Protocol", show: showProtocol, group: "admin", under: "protocols" },
  reevaluations: { title: "Re-evaluations", show: showReevaluations, group: "admin" },
  reevaluation: { title: "Re-evaluation", show: showReevaluation, group: "admin", under: "reevaluations" },
};

/** The view of a name, where there is one that a role may see. */
export function placeFor(name: string, role: Role | undefined): Place | null {
  const place = Object.hasOwn(PLACES, name) ? PLACES[name] : undefined;
  return place && role && MAY[place.group].includes(role) ? place : null;
}
