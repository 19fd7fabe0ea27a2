import { NEWEST_PROTOCOLS, type ProtocolDocument } from "../../src/core/protocol/index.js";

/** The newest published version of a protocol. */
export function newestProtocol(key: string): ProtocolDocument {
  const protocol = NEWEST_PROTOCOLS.find((one) => one.key === key);
  if (!protocol) throw new Error(`there is no protocol ${key}`);
  return protocol;
}

/** The version after the newest one of the full load: another reference load, and another lowest sampling rate. */
export function nextFullLoad(minimumHz: number, rateIt = 22): ProtocolDocument {
  const newest = newestProtocol("full-load");
  const { load, rules } = newest;
  if (load.kind !== "full") throw new Error("the full-load protocol has another load");
  return {
    ...newest,
    version: newest.version + 1,
    load: { ...load, reference: { ...load.reference, rateIt } },
    rules: rules.map((one) => (one.rule === "sampling-rate" ? { ...one, limit: { minimum: minimumHz } } : one)),
  };
}
