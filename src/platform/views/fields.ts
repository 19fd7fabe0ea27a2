import type { Type } from "@nestjs/common";
import { ApiProperty } from "@nestjs/swagger";
import { Transform } from "class-transformer";
import { ArrayMinSize, ArrayUnique, IsArray, IsIn, IsOptional } from "class-validator";
import { listOf } from "./query-lists.js";

/** Where the OpenAPI library keeps the names of a class's members, each behind a colon. */
const MEMBERS = "swagger/apiModelPropertiesArray";

/** Names of an output's members, as both APIs show them. */
export function membersOf(view: Type): readonly string[] {
  const named = (Reflect.getMetadata(MEMBERS, view.prototype) ?? []) as string[];
  return [...new Set(named.map((name) => name.slice(1)))];
}

/**
 * Which members the items of a REST list show, by their names in the query of the URL.
 *
 * @param usual those shown when nothing is asked for
 */
export function FieldsField(members: readonly string[], usual: readonly string[]): PropertyDecorator {
  const decorators = [
    ApiProperty({
      type: "string",
      isArray: true,
      enum: [...members],
      required: false,
      description: `Members of each item, besides \`id\`. When left out: ${usual.join(", ")}.`,
    }),
    IsOptional(),
    Transform(({ value }: { value: unknown }) => listOf(value)),
    IsArray({ message: "must be a list" }),
    ArrayMinSize(1, { message: "must name at least one" }),
    ArrayUnique({ message: "must not name one twice" }),
    IsIn([...members], { each: true, message: `must be some of: ${members.join(", ")}` }),
  ];
  return (target, property) => {
    for (const decorate of decorators) decorate(target, property);
  };
}

/** Some members of an item, the id always among them. */
export function pickMembers<T extends { id: unknown }, K extends keyof T>(item: T, members: readonly K[]): Partial<T> {
  return Object.fromEntries(["id" as const, ...members].map((name) => [name, item[name]])) as Partial<T>;
}
