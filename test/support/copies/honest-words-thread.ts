import { type CopyWords, wordsToKeep } from "../../../src/core/copies/words.js";
import { type HonestRun, honestTrace } from "./honest-traces.js";

/** The words of a simulated run, for a thread. */
export default (run: HonestRun): CopyWords => wordsToKeep(honestTrace(run));
