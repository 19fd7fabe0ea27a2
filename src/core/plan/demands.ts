import type { Chemistry } from "../model.js";
import type { ProtocolDocument } from "../protocol/document.js";
import { fullCellWindow } from "../protocol/observe/full-cell.js";

/** From lowest to highest; null on a side that the protocol leaves open. */
export interface Window {
  readonly minimum: number | null;
  readonly maximum: number | null;
}

/** What a protocol's rules ask of a test, as numbers to prepare by. Null where it asks nothing. */
export interface Demands {
  /** Least logging rate, Hz, and longest gap under load, s. */
  readonly rateHz: number | null;
  readonly gapS: number | null;
  readonly temperatureChannel: "required" | "advised" | null;
  readonly restMinutes: Window | null;
  /** Rest voltage of the whole pack before the load, V. */
  readonly restVolts: Window | null;
  readonly chargePercent: Window | null;
  readonly packTemperatureC: Window | null;
  readonly ambientC: Window | null;
  /** Longest rise of the load, s. */
  readonly riseS: number | null;
  /** How far a set current may stray, %. */
  readonly steadyPercent: number | null;
  /** How long the log goes on after the load, s. */
  readonly recoveryS: number | null;
  /** Widest stated accuracies: part of the reading, %, and constant part, V and A; of the temperature, K. */
  readonly voltage: AccuracyDemand | null;
  readonly current: AccuracyDemand | null;
  readonly temperatureK: number | null;
}

export interface AccuracyDemand {
  readonly percent: number;
  readonly offset: number;
}

/** Reads a protocol's rules as demands on a test of a pack; a rule that a protocol does not set demands nothing. */
export function demandsOf(
  protocol: ProtocolDocument,
  { chemistry, series }: { readonly chemistry: Chemistry; readonly series: number },
): Demands {
  const setting = (rule: string) => protocol.rules.find((one) => one.rule === rule) ?? null;
  const number = (rule: string, name: string): number | null => setting(rule)?.limit[name] ?? null;
  const range = (rule: string): Window | null => {
    const limit = setting(rule)?.limit;
    return limit ? { minimum: limit.minimum ?? null, maximum: limit.maximum ?? null } : null;
  };
  const accuracy = (rule: string): AccuracyDemand | null => {
    const limit = setting(rule)?.limit;
    return limit ? { percent: limit.percent ?? 0, offset: limit.offset ?? 0 } : null;
  };
  const logged = setting("temperature-logged")?.severity;
  const restVolts = fullCell(protocol, chemistry);
  return {
    rateHz: number("sampling-rate", "minimum"),
    gapS: number("largest-gap", "maximum"),
    temperatureChannel: logged === "required" || logged === "advised" ? logged : null,
    restMinutes: joined(range("rest-time"), range("rest-at-most")),
    restVolts: restVolts && { minimum: series * restVolts.minimum, maximum: series * restVolts.maximum },
    chargePercent: range("charge-state-declared"),
    packTemperatureC: range("start-temperature"),
    ambientC: range("ambient-temperature"),
    riseS: number("load-rise", "maximum"),
    steadyPercent: number("load-steady", "maximumPercent"),
    recoveryS: number("recovery-logged", "minimum"),
    voltage: accuracy("voltage-accuracy"),
    current: accuracy("current-accuracy"),
    temperatureK: number("temperature-accuracy", "maximum"),
  };
}

/** One rule sets the shortest and another the longest. */
function joined(one: Window | null, other: Window | null): Window | null {
  if (!one && !other) return null;
  return { minimum: one?.minimum ?? other?.minimum ?? null, maximum: one?.maximum ?? other?.maximum ?? null };
}

/** Volts per cell within which a rested cell counts as full, or null where the protocol asks for no full charge. */
function fullCell({ rules, cells }: ProtocolDocument, chemistry: Chemistry) {
  const limit = rules.find(({ rule }) => rule === "full-charge")?.limit;
  return limit ? fullCellWindow(chemistry, cells[chemistry], (name) => limit[name] as number) : null;
}
