import type { FormattedExecutionResult, GraphQLError } from "graphql";
import { formatErrors } from "../errors.js";

interface Event {
  readonly data?: unknown;
  readonly errors?: readonly GraphQLError[] | undefined;
}

/** An event with its errors in the form of all others; undefined where it has none, or only such as have it already. */
export function formatEvent({ data, errors }: Event): FormattedExecutionResult | undefined {
  if (!errors || errors.every(({ extensions }) => "code" in extensions)) return undefined;
  return formatErrors({ data: data as Record<string, unknown> | null | undefined, errors }, {}).response;
}
