import type { components } from "../../../generated/public-api.js";

/** A view of the public API, by the name that its contract gives it. */
export type View<Name extends keyof components["schemas"]> = components["schemas"][Name];

/** A page of a list. */
export interface Listed<T> {
  readonly items: readonly T[];
  readonly pageInfo: View<"PageInfo">;
}
