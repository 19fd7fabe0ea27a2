import { FULL_LOAD_1 } from "../../src/core/protocol/documents/full-load-1.js";
import type { ProtocolDocument } from "../../src/core/protocol/index.js";

/** A second version of the full-load protocol: another reference load, and a higher lowest rate of logging. */
export function secondFullLoad(minimumHz: number, rateIt = 22): ProtocolDocument {
  const { load, rules } = FULL_LOAD_1;
  if (load.kind !== "full") throw new Error("the full-load protocol has another load");
  return {
    ...FULL_LOAD_1,
    version: 2,
    load: { ...load, reference: { ...load.reference, rateIt } },
    rules: rules.map((one) => (one.rule === "sampling-rate" ? { ...one, limit: { minimum: minimumHz } } : one)),
  };
}
