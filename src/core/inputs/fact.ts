/**
 * What is declared of a pack, a bench or a run, as data: one entry per member, from which the plain validation here and the
 * fields of both APIs are made.
 */
export type Fact = TextFact | NumberFact | ChoiceFact | GroupFact;

interface Described {
  readonly description: string;
  /** May be left out or null. */
  readonly optional?: true;
}

export interface TextFact extends Described {
  readonly kind: "text";
  /** Most characters, after white space at both ends is removed; at least one. */
  readonly max: number;
}

export interface NumberFact extends Described {
  readonly kind: "number" | "integer";
  /** Unit symbol; left out for a pure number. */
  readonly unit?: string;
  readonly min?: number;
  /** The number must be larger than this. */
  readonly above?: number;
  readonly max: number;
}

export interface ChoiceFact extends Described {
  readonly kind: "choice";
  readonly values: readonly string[];
}

/** An object with members of its own. */
export interface GroupFact extends Described {
  readonly kind: "group";
  readonly members: Facts;
}

export type Facts = Readonly<Record<string, Fact>>;

/** A declaration of every member of `T`. */
export type FactsOf<T> = { readonly [K in keyof T]-?: Fact };
