import type { RunFacts } from "../core/evaluate.js";
import { PROTOCOLS, type ProtocolDocument } from "../core/protocol/index.js";
import { requireLeadResistance } from "../features/benches/benches.service.js";
import { columnMapOf } from "../features/column-maps/column-maps.service.js";
import { CheckInput } from "../features/runs/check.views.js";
import { checkInput } from "../platform/http/input.pipe.js";
import { Problem } from "../platform/problems/problem.js";
import { UsageError } from "./usage-error.js";

/** A run that is described in full, so that its log can be evaluated without a server. */
export interface DescribedRun {
  readonly facts: RunFacts;
  readonly protocol: ProtocolDocument;
}

/**
 * Reads what a run file declares, by the same rules as the service.
 *
 * @throws UsageError that lists every fault
 */
export async function describedRun(declared: Readonly<Record<string, unknown>>): Promise<DescribedRun> {
  // What upload needs beside: ids and labels of what the service knows.
  const { specimen: _, specimenId: __, benchId: ___, ...described } = declared;
  try {
    const input = await checkInput(CheckInput, described);
    if (!input.pack || !input.bench) {
      throw new UsageError("A check needs no server, so the run file must describe `pack` and `bench` as objects.");
    }
    requireLeadResistance(input.bench.sense);
    const { ambientC = null, restMinutes = null, cycles = null, setpointA = null, stateOfChargePercent = null } = input;
    const { labelContinuousC = null, labelBurstC = null, massGrams = null } = input.pack;
    return {
      protocol: protocolOf(input.protocol, input.protocolVersion ?? null),
      facts: {
        pack: { ...input.pack, labelContinuousC, labelBurstC, massGrams },
        bench: { ...input.bench, temperature: input.bench.temperature ?? null },
        conditions: { ambientC, restMinutes, cycles, setpointA, stateOfChargePercent },
        columns: columnMapOf(input.columns),
      },
    };
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    const faults = error.errors.map(({ pointer = "", message }) => `${pointer.slice(1)} ${message}`);
    throw new UsageError(`The run file does not fit: ${faults.join("; ") || error.detail}`);
  }
}

function protocolOf(key: string, version: number | null): ProtocolDocument {
  const ofKey = PROTOCOLS.filter((protocol) => protocol.key === key);
  const newest = ofKey.reduce<ProtocolDocument | undefined>((a, b) => (a && a.version > b.version ? a : b), undefined);
  const found = version === null ? newest : ofKey.find((protocol) => protocol.version === version);
  if (found) return found;
  const known = PROTOCOLS.map((protocol) => `${protocol.key} version ${protocol.version}`);
  throw new UsageError(`There is no such protocol; there are: ${known.join(", ")}.`);
}
