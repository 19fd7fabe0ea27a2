import type { OpenApi } from "../support/contract/contract.js";

type Members = Readonly<Record<string, unknown>>;
type Direction = "request" | "response";

/** Limits of a request that may grow, and those that may fall. */
const UPPER = ["maximum", "exclusiveMaximum", "maxLength", "maxItems"];
const LOWER = ["minimum", "exclusiveMinimum", "minLength", "minItems"];

/**
 * What breaks a client when the schema of what it sends, or of what it is answered, becomes another one. What is sent may
 * be allowed more than before; what is answered may hold more than before.
 */
export function schemaChanges(
  direction: Direction,
  old: Members | undefined,
  now: Members | undefined,
  before: OpenApi,
  after: OpenApi,
  place: string,
  seen: ReadonlySet<unknown> = new Set(),
): string[] {
  const was = resolved(old, before);
  const is = resolved(now, after);
  if (!was || seen.has(was)) return [];
  if (!is) return [`${place} removed`];
  const inside = new Set([...seen, was]);
  const deeper = (one: unknown, other: unknown, name: string) =>
    schemaChanges(direction, one as Members, other as Members, before, after, `${place}${name}`, inside);
  const alternatives = listOf(was.anyOf).flatMap((one, index) => deeper(one, listOf(is.anyOf)[index], ""));
  return [
    ...typeChanges(direction, was, is, place),
    ...valueChanges(direction, was, is, place),
    ...(direction === "request" ? limitChanges(was, is, place) : []),
    ...memberChanges(direction, was, is, place, deeper),
    ...(was.items ? deeper(was.items, is.items, "[]") : []),
    ...alternatives,
  ];
}

function resolved(schema: Members | undefined, { components }: OpenApi): Members | undefined {
  const name = typeof schema?.$ref === "string" ? schema.$ref.split("/").at(-1) : undefined;
  return name ? (components.schemas[name] as Members | undefined) : schema;
}

function listOf(value: unknown): readonly unknown[] {
  return value === undefined ? [] : [value].flat();
}

/** A request must take every type that it took; an answer must be of no type that it was not. */
function typeChanges(direction: Direction, was: Members, is: Members, place: string): string[] {
  const [taken, given] = direction === "request" ? [was, is] : [is, was];
  const allowed = listOf(given.type);
  const lost = listOf(taken.type).filter(
    (type) => !allowed.includes(type) && !(type === "integer" && allowed.includes("number")),
  );
  const isUntyped = allowed.length === 0 || listOf(taken.type).length === 0;
  if (isUntyped) return listOf(was.type).join() === listOf(is.type).join() ? [] : [`${place} of another type`];
  return lost.length > 0 ? [`${place} of another type`] : [];
}

/** An answer may have new values: clients must expect some. */
function valueChanges(direction: Direction, was: Members, is: Members, place: string): string[] {
  if (direction === "response") return [];
  if (was.enum === undefined && is.enum !== undefined) return [`${place} takes only some values`];
  if (is.enum === undefined) return [];
  const taken = listOf(is.enum);
  return listOf(was.enum)
    .filter((one) => !taken.includes(one))
    .map((one) => `${place} value ${one} removed`);
}

function limitChanges(was: Members, is: Members, place: string): string[] {
  const limit = (schema: Members, name: string, none: number) => Number(schema[name] ?? none);
  const tighter = [
    ...UPPER.filter((name) => limit(is, name, Infinity) < limit(was, name, Infinity)),
    ...LOWER.filter((name) => limit(is, name, -Infinity) > limit(was, name, -Infinity)),
    ...(is.pattern !== undefined && is.pattern !== was.pattern ? ["pattern"] : []),
  ];
  return tighter.map((name) => `${place} ${name} tightened`);
}

function memberChanges(
  direction: Direction,
  was: Members,
  is: Members,
  place: string,
  deeper: (one: unknown, other: unknown, name: string) => string[],
): string[] {
  const members = (was.properties ?? {}) as Members;
  const kept = (is.properties ?? {}) as Members;
  const required = new Set(listOf(was.required));
  const requires = listOf(is.required);
  const changed =
    direction === "request"
      ? requires.filter((name) => !required.has(name)).map((name) => `${place}/${name} required`)
      : [...required]
          .filter((name) => !requires.includes(name) && String(name) in kept)
          .map((name) => `${place}/${name} may be left out`);
  const lost = Object.entries(members).flatMap(([name, member]) =>
    name in kept ? deeper(member, kept[name], `/${name}`) : [`${place}/${name} removed`],
  );
  return [...changed, ...lost];
}
