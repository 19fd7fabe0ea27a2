import { availableParallelism } from "node:os";

const common = {
  testRunner: "<rootDir>/test/support/jest/run-file.js",
  testMatch: ["**/*.test.ts"],
  transform: {},
};

/** Pure computation and rules over the source: these need neither the build nor a database. */
const PURE = [
  "src/core",
  "seed",
  "test/contract",
  "test/corpus",
  "test/cross-checks",
  "test/golden",
  "test/monte-carlo",
  "test/plausibility",
  "test/predictions",
];

export default {
  // A test counts work and not time; this ends one that hangs.
  testTimeout: 1_800_000,
  // One more than there are cores: a test of the service waits for its database, its timers and its programs about a third of its time.
  maxWorkers: availableParallelism() + 1,
  // Modules and what they hold stay for as long as a worker does: beyond this much it makes room for a new one, which costs seconds.
  workerIdleMemoryLimit: "1GB",
  testSequencer: "<rootDir>/test/support/jest/sequencer.js",
  projects: [
    { ...common, roots: PURE.map((folder) => `<rootDir>/${folder}`) },
    {
      ...common,
      roots: ["<rootDir>/prisma", "<rootDir>/src", "<rootDir>/test"],
      testPathIgnorePatterns: PURE.map((folder) => `<rootDir>/${folder}/`),
      globalSetup: "<rootDir>/test/support/jest/set-up.js",
      globalTeardown: "<rootDir>/test/support/jest/tear-down.js",
    },
  ],
};
