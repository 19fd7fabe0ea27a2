import type { FactsOf } from "./fact.js";

/** Which protocol a run follows, and under which of its versions. */
export interface ProtocolChoice {
  readonly protocol: string;
  readonly protocolVersion: number | null;
}

export const PROTOCOL_CHOICE_FACTS = {
  protocol: { kind: "text", description: "Key of the protocol", max: 64 },
  protocolVersion: {
    kind: "integer",
    description: "Version of the protocol; the newest when left out",
    min: 1,
    max: 1_000_000,
    optional: true,
  },
} as const satisfies FactsOf<ProtocolChoice>;
