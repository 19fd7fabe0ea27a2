import type { View } from "../../service/view.js";
import type { DeskWork } from "../desk-work.js";
import { policySection, type Term } from "./policy-section.js";

const TERMS: readonly (Term & { readonly name: keyof View<"AutoAcceptPolicyInput"> })[] = [
  { name: "enabled", label: "Runs are accepted by it", hint: "Off: moderators decide on every run.", kind: "yes-no" },
  {
    name: "moderatorAcceptances",
    label: "Runs of the tester that moderators accepted",
    hint: "At least so many that are still accepted.",
    kind: "number",
  },
  {
    name: "noRejectionDays",
    label: "Days without a rejection",
    hint: "Nor a decision on a run of the tester that was taken back.",
    kind: "number",
    unit: "d",
  },
  { name: "accountDays", label: "Age of the account", hint: "At least, in days.", kind: "number", unit: "d" },
  {
    name: "otherTesters",
    label: "Other testers who have measured the pack",
    hint: "At least so many, to compare the run with.",
    kind: "number",
  },
  {
    name: "maxDeviationPercent",
    label: "Farthest from what the others found",
    hint: "In percent, of any ranked figure.",
    kind: "number",
    unit: "%",
  },
  { name: "maxPerDay", label: "Runs of one tester a day", hint: "At most, within 24 h.", kind: "number" },
  {
    name: "sampleOneIn",
    label: "One in so many goes to a moderator all the same",
    hint: "Drawn so that no tester can foresee it.",
    kind: "number",
  },
];

/** By which runs are accepted without a moderator. */
export const acceptancePolicy = (desk: DeskWork): Promise<HTMLElement> =>
  policySection(
    {
      title: "Runs accepted without a moderator",
      about: "Only runs that conform, look like no other, and change no place in a ranking. Off until it is set.",
      follows:
        "Runs that wait are looked at by the new version at once, where it is on. Any moderator may undo such an acceptance.",
      address: "/v1/auto-accept-policy",
      terms: TERMS,
    },
    desk,
  );
