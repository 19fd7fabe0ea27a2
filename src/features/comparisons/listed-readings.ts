import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { Problem } from "../../platform/problems/problem.js";
import type { Compared } from "./compared.js";
import type { ComparisonArgs } from "./comparisons.args.js";

/** The lists of GraphQL, and the strings that a link has in their place. */
const LISTS = [
  { list: "marks", string: "at" },
  { list: "spans", string: "span" },
] as const;

type SentLists = Readonly<Record<(typeof LISTS)[number]["list"], readonly unknown[] | null>>;

/**
 * Compares with marks and spans that came as lists or as strings.
 *
 * @throws Problem `invalid-input` where both came, and where one cannot be read, at the name that it was sent under
 */
export async function compareListed<T>(
  { marks, spans, ...options }: ComparisonArgs,
  compare: (compared: Compared) => Promise<T>,
): Promise<T> {
  const lists = { marks: marks ?? null, spans: spans ?? null };
  const twice = LISTS.filter(({ list, string }) => lists[list] !== null && options[string] != null);
  if (twice.length > 0) {
    throw invalidInput(
      twice.map(({ list, string }) => ({ pointer: `/${list}`, message: `stands in place of ${string}: send one` })),
    );
  }
  const at = marks?.join(",") || (options.at ?? null);
  const span = spans?.join(",") || (options.span ?? null);
  try {
    return await compare({ ...options, at, span });
  } catch (error) {
    throw error instanceof Problem ? underSentNames(error, lists) : error;
  }
}

function underSentNames(problem: Problem, lists: SentLists): Problem {
  const sent = new Map<string | undefined, string>(
    LISTS.flatMap(({ list, string }) => (lists[list] === null ? [] : [[`/${string}`, `/${list}`] as const])),
  );
  const errors = problem.errors.map((error) => {
    const pointer = sent.get(error.pointer);
    return pointer === undefined ? error : { ...error, pointer };
  });
  const { code, detail, extensions, cause } = problem;
  return new Problem(code, detail, { errors, extensions, cause });
}
