import type { Fact, Facts } from "../../core/inputs/fact.js";
import { IntField, NumberField } from "./number.js";
import { EnumField, StringField } from "./text.js";

/** An empty class that has the members of `T` once they are declared. */
export function shapeOf<T>(): new () => { -readonly [K in keyof T]: T[K] } {
  return class {} as new () => { -readonly [K in keyof T]: T[K] };
}

/**
 * Declares the members of a class for both APIs and their validation, from what core declares of them. A group has a
 * class of its own and is declared in the usual way.
 */
export function DeclaredBy(facts: Facts): ClassDecorator {
  return (target) => {
    for (const [name, fact] of Object.entries(facts)) fieldOf(fact)?.(target.prototype, name);
  };
}

function fieldOf(fact: Fact): PropertyDecorator | null {
  if (fact.kind === "group") return null;
  if (fact.kind === "text") return StringField(fact);
  if (fact.kind === "choice") return EnumField(fact.values, fact);
  if (fact.kind === "number") return NumberField(fact);
  return IntField({ ...fact, min: fact.min ?? Number.MIN_SAFE_INTEGER });
}
