import type { RunFacts } from "../evaluate.js";
import { PROTOCOLS, type ProtocolDocument } from "../protocol/index.js";
import { newestOf } from "../protocol/newest.js";
import { BENCH_FACTS, type DeclaredBench, leadResistanceProblem } from "./bench.js";
import { readColumnMap } from "./column-map.js";
import { CONDITION_FACTS, conditionsOf, type RunConditions } from "./conditions.js";
import type { InputError } from "./input-error.js";
import { findInvalidText } from "./invalid-text.js";
import { type DeclaredPack, leadSizeProblem, PACK_FACTS } from "./pack.js";
import { FUTURE_MESSAGE, isInFuture } from "./past.js";
import { PROTOCOL_CHOICE_FACTS, type ProtocolChoice } from "./protocol-choice.js";
import { readFacts } from "./read-facts.js";

/** A run that is described in full, so that its log can be evaluated without a service. */
export interface DescribedRun {
  readonly facts: RunFacts;
  readonly protocol: ProtocolDocument;
}

const DESCRIPTION_FACTS = {
  ...PROTOCOL_CHOICE_FACTS,
  ...CONDITION_FACTS,
  discharge: {
    kind: "integer",
    description: "Which discharge of the log is the run, counted from 1; needed where several could be",
    min: 1,
    max: 1_000,
    optional: true,
  },
  startedAt: { kind: "text", description: "When the test began; not in the future", max: 40, optional: true },
  pack: { kind: "group", description: "The pack", members: PACK_FACTS },
  bench: { kind: "group", description: "The bench", members: BENCH_FACTS },
} as const;

interface LogChoice {
  readonly discharge: number | null;
}

type Description = ProtocolChoice &
  LogChoice &
  RunConditions & { readonly startedAt: string | null } & {
    readonly pack: DeclaredPack;
    readonly bench: DeclaredBench;
  };

/**
 * Reads what a run file declares, by the same rules as the service.
 *
 * @param declared protocol, pack, bench, conditions and, where the log needs it, `columns`
 * @param protocols the versions that it may follow; those of this program when left out
 * @param nowMs what is the future to it, ms since 1970 (UTC)
 * @returns the run, or every problem of the description
 */
export function describedRun(
  declared: object,
  protocols: readonly ProtocolDocument[] = PROTOCOLS,
  nowMs: number = Date.now(),
): DescribedRun | { readonly errors: readonly InputError[] } {
  const invalid = findInvalidText(declared);
  if (invalid) return { errors: [invalid] };
  const { columns, ...described } = declared as { readonly columns?: unknown };
  const errors: InputError[] = [];
  const read = readFacts<Description>(DESCRIPTION_FACTS, described, "", errors);
  const map = readColumnMap(columns, "/columns", errors);
  if (typeof read.startedAt === "string" && isInFuture(read.startedAt, nowMs)) {
    errors.push({ pointer: "/startedAt", message: FUTURE_MESSAGE });
  }
  if (errors.length > 0) return { errors };
  const lead = leadSizeProblem(read.pack, "/pack") ?? leadResistanceProblem(read.bench.sense, "/bench/sense");
  if (lead) return { errors: [lead] };
  const protocol = protocolOf(read, protocols);
  if (!protocol) {
    const known = protocols.map(({ key, version }) => `${key} version ${version}`);
    return { errors: [{ pointer: "/protocol", message: `must be one of: ${known.join(", ")}` }] };
  }
  const { pack, bench, discharge } = read;
  return { protocol, facts: { pack, bench, conditions: conditionsOf(read), columns: map, discharge } };
}

function protocolOf(
  { protocol: key, protocolVersion }: ProtocolChoice,
  protocols: readonly ProtocolDocument[],
): ProtocolDocument | undefined {
  const candidates =
    protocolVersion === null ? newestOf(protocols) : protocols.filter(({ version }) => version === protocolVersion);
  return candidates.find((protocol) => protocol.key === key);
}
