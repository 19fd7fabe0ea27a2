/** What stands beside every prediction. */
export const USE_CAUTIONS: readonly string[] = [
  "A prediction is no licence to use a pack. The maker's limits and local rules come first.",
  "Leave a margin for wind, cold, age and a pack worse than those that were tested.",
  "Never use a pack that is hot, swollen or damaged, and stop at the voltage cut-off that its maker states.",
];
