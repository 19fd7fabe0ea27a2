import { MAX_USE_S } from "../../../core/use/use.js";
import { jsonSchemaOf } from "../../../platform/views/json-schema.js";
import { UseInput, UseStepInput } from "../use.views.js";
import { DEMANDS, MAX_STEPS } from "../use-input.js";

type JsonSchema = Readonly<Record<string, unknown>>;

const given = (demand: string): JsonSchema => ({
  type: "object",
  required: [demand],
  properties: { [demand]: { not: { type: "null" } } },
});
const drawing = (demand: string): JsonSchema => ({
  type: "object",
  required: [demand],
  properties: {
    [demand]:
      demand === "powerW" || demand === "currentA"
        ? { type: "number", exclusiveMinimum: 0 }
        : { not: { type: "null" } },
  },
});

const { properties: step, ...stepRest } = jsonSchemaOf(UseStepInput);
const { properties: use, ...useRest } = jsonSchemaOf(UseInput) as { properties: Record<string, JsonSchema> };

/** JSON Schema of a use: the declarations by which it is validated, and what one of them alone does not say. */
export const USE_SCHEMA: JsonSchema = {
  $schema: "https://json-schema.org/draft/2020-12/schema",
  title: "Use of a battery pack",
  description: `What a model asks of a pack, step after step. All repeats together make ${MAX_STEPS} steps and ${MAX_USE_S} s at most.`,
  ...useRest,
  properties: {
    ...use,
    steps: {
      ...use.steps,
      minItems: 1,
      maxItems: MAX_STEPS,
      items: { ...stepRest, properties: step, oneOf: DEMANDS.map(given) },
      contains: { anyOf: DEMANDS.map(drawing) },
    },
  },
};
