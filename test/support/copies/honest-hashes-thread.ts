import { type CopyHashes, hashesToIndex } from "../../../src/core/copies/hashes.js";
import { type HonestRun, honestTrace } from "./honest-traces.js";

/** The hashes of a simulated run, for a thread. */
export default (run: HonestRun): CopyHashes => hashesToIndex(honestTrace(run));
