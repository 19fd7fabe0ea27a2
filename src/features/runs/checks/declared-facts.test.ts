import "reflect-metadata";
import { expect, test } from "@jest/globals";
import fc from "fast-check";
import { BENCH_FACTS } from "../../../core/inputs/bench.js";
import { CONDITION_FACTS } from "../../../core/inputs/conditions.js";
import type { Fact, Facts } from "../../../core/inputs/fact.js";
import type { InputError } from "../../../core/inputs/input-error.js";
import { PACK_FACTS } from "../../../core/inputs/pack.js";
import { PROTOCOL_CHOICE_FACTS } from "../../../core/inputs/protocol-choice.js";
import { readFacts } from "../../../core/inputs/read-facts.js";
import { checkInput } from "../../../platform/http/requests/input.pipe.js";
import { Problem } from "../../../platform/problems/problem.js";
import { CheckInput } from "./check.views.js";

const FACTS = {
  ...PROTOCOL_CHOICE_FACTS,
  ...CONDITION_FACTS,
  pack: { kind: "group", description: "The pack", members: PACK_FACTS },
  bench: { kind: "group", description: "The bench", members: BENCH_FACTS },
} as const satisfies Facts;

/** Values that fit a declaration, nearly fit it, or do not at all. */
function fitting(fact: Fact): fc.Arbitrary<unknown> {
  if (fact.kind === "group") {
    const members = Object.fromEntries(Object.entries(fact.members).map(([name, member]) => [name, fitting(member)]));
    return fc.oneof(
      { weight: 9, arbitrary: fc.record(members) },
      { weight: 1, arbitrary: fc.constantFrom(1, "x", []) },
    );
  }
  const strange = fc.constantFrom<unknown>(undefined, null, "", "12", true, {}, "a\u0000b", "tab\there", " edge ");
  const usual: fc.Arbitrary<unknown> =
    fact.kind === "text"
      ? fc.string({ maxLength: 130 })
      : fact.kind === "choice"
        ? fc.constantFrom(...fact.values)
        : fc.oneof(fc.integer({ min: -5, max: 200 }), fc.double({ min: 0, max: fact.max * 1.1, noNaN: true }));
  return fc.oneof({ weight: 8, arbitrary: usual }, { weight: 1, arbitrary: strange });
}

const sortedPointers = (errors: readonly InputError[]) =>
  errors.map(({ pointer, message }) => `${pointer} ${message}`).sort();

test("core and the service find the same problems in what is declared of a run", async () => {
  const declared = fc.record(Object.fromEntries(Object.entries(FACTS).map(([name, fact]) => [name, fitting(fact)])));
  await fc.assert(
    fc.asyncProperty(declared, async (value) => {
      const own: InputError[] = [];
      readFacts(FACTS, value, "", own);
      const service = await checkInput(CheckInput, value).then(
        () => [],
        (error: unknown) => {
          if (error instanceof Problem) return error.errors;
          throw error;
        },
      );
      // The service looks for text that no database can hold before anything else.
      fc.pre(!service.some(({ message }) => message.includes("without NUL")));
      expect(sortedPointers(service)).toEqual(sortedPointers(own));
    }),
    { numRuns: 300, seed: 7 },
  );
});
