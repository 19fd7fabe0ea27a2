/** The parts of the API in the order in which a reader wants them. */
export const TAGS: readonly (readonly [name: string, description: string])[] = [
  ["packs", "Marketed battery packs: what their label says"],
  ["rankings", "Packs of a class by what testers found together. Not a licence to use a pack at its limits"],
  ["figures", "What is read off a run, and which way is better"],
  ["comparisons", "Packs or runs side by side"],
  ["plans", "What to set, expect and look at when a pack is tested"],
  ["ladders", "The current that a specimen sustains, from runs at several currents"],
  ["runs", "Discharges that were logged: upload, progress, figures, conformance, log and trace"],
  ["testers", "What a tester has added to the public record"],
  ["protocols", "How tests are done, which rules a run is held against, and what another version would change"],
  ["specimens", "Your single packs, each tested many times"],
  ["benches", "Your test benches and their stated accuracy"],
  ["column maps", "Which column of your logs is which channel"],
  ["reviews", "Decisions of moderators on runs, with what they are made on"],
  ["notices", "What you are told of what happens to your runs"],
  ["accounts", "Accounts, sessions, keys and sign-in"],
  ["operation", "Whether the service runs"],
];
