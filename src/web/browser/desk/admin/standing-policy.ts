import type { View } from "../../service/view.js";
import type { DeskWork } from "../desk-work.js";
import { policySection, type Term } from "./policy-section.js";

const TERMS: readonly (Term & { readonly name: keyof View<"StandingPolicyInput"> })[] = [
  {
    name: "testers",
    label: "Testers with a record who make a standing established",
    hint: "Fewer than that, and it is provisional.",
    kind: "number",
  },
  {
    name: "referenceTesters",
    label: "Of them reference testers",
    hint: "Testers whose results others are held against. At least 2, or 1 where one or two testers are enough.",
    kind: "number",
  },
  {
    name: "vouchedOnly",
    label: "Only testers count whom moderators vouch for",
    hint: "As in a club that knows its members.",
    kind: "yes-no",
  },
  {
    name: "sealedFrom",
    label: "From how many testers with a record a new one needs a pack of a sealed round",
    hint: "Left empty: never.",
    kind: "number",
    emptyIsNull: true,
    none: "never",
  },
];

/** How many testers make a standing established. */
export const standingPolicy = (desk: DeskWork): Promise<HTMLElement> =>
  policySection(
    {
      title: "What makes a standing established",
      about: "Rankings give places to established standings alone.",
      follows: "All standings and records are computed anew by it: packs may lose or gain their places at once.",
      address: "/v1/standing-policy",
      terms: TERMS,
    },
    desk,
  );
