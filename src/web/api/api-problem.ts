import type { components } from "../../generated/public-api.js";

export type ProblemBody = components["schemas"]["Problem"];

/** What the API refused something by. */
export class ApiProblem extends Error {
  override readonly name = "ApiProblem";

  constructor(
    readonly body: ProblemBody,
    readonly retryAfter: string | number | string[] | undefined,
  ) {
    super(body.detail);
  }

  get status(): number {
    return this.body.status;
  }
}
