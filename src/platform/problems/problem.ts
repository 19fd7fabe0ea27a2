import type { InputError } from "../../core/inputs/input-error.js";
import { PROBLEMS, type ProblemCode } from "./catalogue.js";

export interface ProblemParts {
  readonly errors?: readonly InputError[];
  /** More members of the answer, such as the id of what exists already. */
  readonly extensions?: Readonly<Record<string, unknown>>;
  readonly cause?: unknown;
}

/** A failure that the service foresees and explains to its client. Services throw it; both APIs show it. */
export class Problem extends Error {
  override readonly name = "Problem";
  readonly errors: readonly InputError[];
  readonly extensions: Readonly<Record<string, unknown>>;

  constructor(
    readonly code: ProblemCode,
    /** What happened this time and how to mend it. */
    readonly detail: string,
    { errors = [], extensions = {}, cause }: ProblemParts = {},
  ) {
    super(detail, { cause });
    this.errors = errors;
    this.extensions = extensions;
  }

  get status(): number {
    return PROBLEMS[this.code].status;
  }

  get title(): string {
    return PROBLEMS[this.code].title;
  }

  /** The body of the REST answer (RFC 9457). */
  toBody(requestId: string): Record<string, unknown> {
    return {
      type: `/problems/${this.code}`,
      title: this.title,
      status: this.status,
      detail: this.detail,
      instance: `urn:uuid:${requestId}`,
      code: this.code,
      ...this.extensions,
      ...(this.errors.length > 0 ? { errors: this.errors } : {}),
    };
  }

  /** The same for GraphQL's `errors[].extensions`. */
  toExtensions(): Record<string, unknown> {
    return {
      code: this.code,
      status: this.status,
      title: this.title,
      ...this.extensions,
      ...(this.errors.length > 0 ? { errors: this.errors } : {}),
    };
  }
}

/** The one answer for what does not exist and for what the caller may not know to exist. */
export function notFound(what: string): Problem {
  return new Problem("not-found", `There is no such ${what}.`);
}

/** The same for a list of ids: which of them name nothing. `of` tells whether an id names something. */
export function requireAll(what: string, pointer: string, ids: readonly string[], of: (id: string) => unknown): void {
  const errors = ids.flatMap((id, index) => (of(id) ? [] : [{ pointer: `${pointer}/${index}`, id }]));
  if (errors.length === 0) return;
  throw new Problem("not-found", `There is no such ${what}: ${errors.map(({ id }) => id).join(", ")}.`, {
    errors: errors.map(({ pointer, id }) => ({ pointer, message: `${id} names no ${what}` })),
  });
}
