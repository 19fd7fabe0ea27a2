import { Field, type ReturnTypeFunc } from "@nestjs/graphql";
import { ApiProperty, type ApiPropertyOptions } from "@nestjs/swagger";
import { IsOptional } from "class-validator";

export interface FieldOptions {
  /** What it means, for both APIs. */
  readonly description: string;
  /** May be left out or null in an input; null where it is unknown in an output. */
  readonly optional?: boolean;
}

/** One declaration of a property for GraphQL, OpenAPI and validation together. */
export function field(
  graphqlType: ReturnTypeFunc,
  /** The property's JSON Schema. */
  schema: Readonly<Record<string, unknown>>,
  { description, optional = false }: FieldOptions,
  checks: readonly PropertyDecorator[],
): PropertyDecorator {
  const openApi = { ...schema, description, required: !optional, ...(optional ? { nullable: true } : {}) };
  const decorators = [
    Field(graphqlType, { description, nullable: optional }),
    ApiProperty(openApi as ApiPropertyOptions),
    ...(optional ? [IsOptional()] : []),
    ...checks,
  ];
  return (target, property) => {
    for (const decorate of decorators) decorate(target, property);
  };
}
