import { CELL_CASES } from "./cell-cases.js";
import { DECLARED_CASES } from "./declared-cases.js";
import type { Draft } from "./draft.js";
import { LOG_CASES } from "./log-cases.js";
import { OTHER_LOAD_CASES } from "./other-load-cases.js";
import { PLAUSIBILITY_CASES } from "./plausibility-cases.js";
import { RUN_CASES } from "./run-cases.js";

/** One log of the corpus: the rules that it fails, as they stand in its name, what was done, and the run. */
export interface Case {
  readonly fails: readonly string[];
  /** What the tester did, for people. */
  readonly shows: string;
  readonly draft: Draft;
}

export const CASES: readonly Case[] = [
  ...LOG_CASES,
  ...DECLARED_CASES,
  ...RUN_CASES,
  ...OTHER_LOAD_CASES,
  ...CELL_CASES,
  ...PLAUSIBILITY_CASES,
];
