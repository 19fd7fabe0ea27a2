import { FIGURE_KEYS } from "../figures/catalogue.js";
import { CHEMISTRIES } from "../inputs/pack.js";
import { LADDER_FIGURE_KEYS } from "../ladder/figures.js";
import { SEVERITIES } from "../model.js";
import type {
  CellVolts,
  LadderLimits,
  LoadDefinition,
  ProtocolDocument,
  Pulse,
  RankedFigure,
  RuleSetting,
  TranslationReach,
} from "./document.js";
import type { Rule } from "./rule.js";
import { RULES } from "./rules/index.js";

type JsonSchema = Readonly<Record<string, unknown>>;

/** An object with exactly the members of `T`, all of them there unless named as optional. */
const record = <T>(
  properties: Readonly<Record<keyof T & string, JsonSchema>>,
  optional: readonly string[] = [],
): JsonSchema => ({
  type: "object",
  properties,
  required: Object.keys(properties).filter((name) => !optional.includes(name)),
  additionalProperties: false,
});

const text = (description: string, maxLength: number): JsonSchema => ({
  description,
  type: "string",
  minLength: 1,
  maxLength,
});
const texts = (description: string): JsonSchema => ({
  description,
  type: "array",
  minItems: 1,
  maxItems: 50,
  items: { type: "string", minLength: 1, maxLength: 2000 },
});
const above0 = (description: string): JsonSchema => ({ description, type: "number", exclusiveMinimum: 0 });
const oneOf = (description: string, values: readonly string[]): JsonSchema => ({ description, enum: values });
const always = (value: string): JsonSchema => ({ const: value });

const CELL = record<CellVolts>({
  nominal: above0("Nominal voltage, V"),
  full: above0("Voltage of a full cell, V"),
  settled: above0("Open-circuit voltage of a full cell once its surface charge is gone, V"),
  cutoff: {
    description: "Cutoff under load, V; null when runs do not go on to a cutoff",
    type: ["number", "null"],
    exclusiveMinimum: 0,
  },
  lowest: above0("Nothing below it is a healthy cell, V"),
  highest: above0("Nothing above it is a healthy cell, V"),
});

const TRANSLATION = record<TranslationReach>({
  lowestRatio: above0("Least current under a standard load over the run's own, at 10 s"),
  highestRatio: above0("Largest current under a standard load over the run's own, at 10 s"),
});

const PULSE = record<Pulse>({
  rateIt: above0("Current as a multiple of It"),
  seconds: above0("How long it is held, s"),
});

const LADDER = record<LadderLimits>({
  startTemperatureRangeK: above0("Largest range of the packs' temperatures at onset over the steps, K"),
  ambientRangeK: above0("Largest range of the surroundings' temperatures over the steps, K"),
  days: above0("Longest time between the first and the last step, days"),
  cycles: above0("Most cycles that the specimen aged meanwhile"),
});

type Load<Kind extends LoadDefinition["kind"]> = Extract<LoadDefinition, { readonly kind: Kind }>;

const LOADS = [
  record<Load<"full">>({ kind: always("full"), translation: { $ref: "#/$defs/translation" } }),
  record<Load<"set-current">>({ kind: always("set-current"), ladder: { $ref: "#/$defs/ladder" } }),
  record<Load<"rate">>({ kind: always("rate"), rateIt: above0("Current as a multiple of It") }),
  record<Load<"two-pulse">>({
    kind: always("two-pulse"),
    first: { $ref: "#/$defs/pulse" },
    second: { $ref: "#/$defs/pulse" },
  }),
];

/** How a protocol sets one rule: with exactly the limits that the rule asks for, in the rule's unit. */
function setting({ id, observes, limits, unit }: Rule): JsonSchema {
  const numbers = Object.entries(limits).map(([name, meaning]) => [name, { description: meaning, type: "number" }]);
  const schema = record<RuleSetting>(
    {
      rule: always(id),
      severity: oneOf("How strict it is", SEVERITIES),
      limit: record(Object.fromEntries(numbers)),
      unit: always(unit),
      onlyWhenLogged: {
        description: "A required rule holds only where its channel was logged",
        type: "boolean",
      },
    },
    ["onlyWhenLogged"],
  );
  return { description: observes, ...schema };
}

const RANKED = record<RankedFigure>({
  figure: oneOf("Key of the figure", [...FIGURE_KEYS, ...LADDER_FIGURE_KEYS]),
  basis: oneOf("Under the runs' own loads, or translated to a standard load", ["own", "translated"]),
  better: oneOf("Which end of the ranking is the best", ["higher", "lower"]),
});

/**
 * JSON Schema (2020-12) of a protocol document. What a schema cannot say is checked by `protocolProblems`. The keyword
 * `discriminator` is that of OpenAPI: it changes no outcome, and lets a validator name the one branch that was meant.
 */
export const PROTOCOL_SCHEMA: JsonSchema = {
  $schema: "https://json-schema.org/draft/2020-12/schema",
  $id: "urn:packledger:protocol-document",
  title: "Protocol document",
  description: "An immutable, versioned definition of a test: load, marks, figures, rules with their limits, cautions",
  ...record<ProtocolDocument>({
    key: { description: "Key", type: "string", pattern: "^[a-z][a-z0-9-]{0,63}$" },
    version: { description: "Version", type: "integer", minimum: 1, maximum: 1_000_000 },
    title: text("Title", 200),
    summary: text("What is done and what is read", 4000),
    procedure: texts("Steps of the test, in order"),
    cautions: texts("What people must know before they test"),
    sources: texts("Where the limits come from"),
    cells: record(Object.fromEntries(CHEMISTRIES.map((chemistry) => [chemistry, { $ref: "#/$defs/cell" }]))),
    load: {
      description: "What is asked of the load",
      type: "object",
      required: ["kind"],
      discriminator: { propertyName: "kind" },
      oneOf: LOADS,
    },
    temperatureLimitC: above0("Temperature that ends a run, degC"),
    figures: {
      description: "Keys of the figures that its runs give",
      type: "array",
      minItems: 1,
      uniqueItems: true,
      items: { enum: FIGURE_KEYS },
    },
    rules: {
      description: "The rules that it sets, in the order in which people are shown them",
      type: "array",
      minItems: 1,
      items: {
        type: "object",
        required: ["rule"],
        discriminator: { propertyName: "rule" },
        oneOf: [...RULES.values()].map(setting),
      },
    },
    ranked: { description: "Figures that packs are ranked by", type: "array", items: { $ref: "#/$defs/ranked" } },
  }),
  $defs: { cell: CELL, translation: TRANSLATION, ladder: LADDER, pulse: PULSE, ranked: RANKED },
};
