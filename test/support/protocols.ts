import { NEWEST_PROTOCOLS, type ProtocolDocument } from "../../src/core/protocol/index.js";

/** The newest published version of a protocol. */
export function newestProtocol(key: string): ProtocolDocument {
  const protocol = NEWEST_PROTOCOLS.find((one) => one.key === key);
  if (!protocol) throw new Error(`there is no protocol ${key}`);
  return protocol;
}

/**
 * The protocol with runs translated to those standard loads alone whose current over their own lies between these; NaN translates to
 * none. Neither the figures under a run's own load nor its findings change with it.
 */
export function translatingWithin(protocol: ProtocolDocument, least: number, most: number): ProtocolDocument {
  const { load } = protocol;
  if (load.kind !== "full") return protocol;
  const { lowestRatio, highestRatio } = load.translation;
  const translation = { lowestRatio: Math.max(least, lowestRatio), highestRatio: Math.min(most, highestRatio) };
  return { ...protocol, load: { ...load, translation } };
}

/** The protocol with runs translated to no load. */
export const withoutTranslations = (protocol: ProtocolDocument): ProtocolDocument =>
  translatingWithin(protocol, Number.NaN, Number.NaN);

/** The version after the newest one of the full load: a narrower reach of standard loads, and a higher lowest rate of logging. */
export function nextFullLoad(minimumHz: number, highestRatio = 1.3): ProtocolDocument {
  const newest = newestProtocol("full-load");
  const { load, rules } = newest;
  if (load.kind !== "full") throw new Error("the full-load protocol has another load");
  const limits: Readonly<Record<string, Record<string, number>>> = {
    "sampling-rate": { minimum: minimumHz },
    "standard-load": { minimum: load.translation.lowestRatio, maximum: highestRatio },
  };
  return {
    ...newest,
    version: newest.version + 1,
    load: { ...load, translation: { ...load.translation, highestRatio } },
    rules: rules.map((one) => (limits[one.rule] ? { ...one, limit: { ...one.limit, ...limits[one.rule] } } : one)),
  };
}
