import { element } from "../../elements.js";
import type { DeskView } from "../desk-work.js";
import { acceptancePolicy } from "./acceptance-policy.js";
import { standingPolicy } from "./standing-policy.js";

/** What an administrator sets for the whole service, with what holds now and what held before. */
export const showPolicies: DeskView = async (desk) => {
  const sections = await Promise.all([standingPolicy(desk), acceptancePolicy(desk)]);
  return [
    element("h2", {}, "Policies"),
    element("p", {}, "Each change makes a new version, is kept with its reason, and takes effect at once."),
    ...sections,
  ];
};
