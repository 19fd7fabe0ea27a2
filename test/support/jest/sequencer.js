import TestSequencer from "@jest/test-sequencer";

/** What takes longest although its files are short. */
const SLOW = [
  "test/durability/",
  "test/monte-carlo/",
  "test/own-load/",
  "test/page/",
  "test/plausibility/",
  "test/predictions/",
  "seed/scenario/",
  "src/core/channels/damaged-logs",
  "src/features/copies/copies.scale",
  "test/access/",
  "test/journeys/",
  "test/examples/",
  "test/clients/",
  "test/open-record/",
  "test/cross-checks/",
  "test/abuse/hostile/",
  "test/database/whole-reads",
  "src/features/reevaluations/",
  "src/features/runs/upload/batch",
];

/**
 * Begins with what takes long, so that no worker is left with it at the end. Jest does so by itself from the second run on; in the
 * first it knows only how large the files are.
 */
export default class SlowestFirst extends TestSequencer {
  sort(tests) {
    const sorted = super.sort(tests);
    const isFirst = ({ path, duration, context }) =>
      duration === undefined && SLOW.some((start) => path.startsWith(`${context.config.rootDir}/${start}`));
    return [...sorted.filter(isFirst), ...sorted.filter((test) => !isFirst(test))];
  }
}
