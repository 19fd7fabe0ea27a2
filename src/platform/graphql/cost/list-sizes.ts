/** How many items a page has whose size is not said. */
const USUAL_PAGE = 25;

/** How many items the lists that have no pages hold, by the name of their field. */
const LIST_SIZES: ReadonlyMap<string, number> = new Map([
  ["figures", 100],
  ["findings", 40],
  ["rows", 100],
  ["curves", 10],
  ["cells", 10],
  ["limits", 4],
  ["budget", 8],
  ["items", 25],
  ["channels", 5],
]);
const USUAL_LIST = 10;

/** Numbers and words of a list without pages, such as the samples of a trace. */
const VALUE_LISTS: ReadonlyMap<string, number> = new Map(
  ["values", "time", "voltage", "current", "power", "charge"].map((name) => [name, 1_000]),
);

/** Shares of the standard introspection query's answer, from the average type of a schema. */
const INTROSPECTION_SIZES: ReadonlyMap<string, number> = new Map([
  ["types", 200],
  ["directives", 5],
  ["fields", 8],
  ["args", 0.5],
  ["inputFields", 2],
  ["ofType", 0.3],
]);

/** How many items an introspective field gives for one object, on average. */
export function introspectionSize(field: string): number {
  return INTROSPECTION_SIZES.get(field) ?? 1;
}

/** The size of a page that was asked for, or the usual one. */
export function pageSize({ first, last }: Readonly<Record<string, unknown>>): number {
  const asked = first ?? last ?? USUAL_PAGE;
  return typeof asked === "number" && asked > 0 ? asked : 0;
}

/** How many objects a list without pages holds. Where ids are asked for, as many as there are of them. */
export function listSize(field: string, args: Readonly<Record<string, unknown>>): number {
  const { ids } = args;
  return Array.isArray(ids) ? ids.length : (LIST_SIZES.get(field) ?? USUAL_LIST);
}

export function valueListSize(field: string): number {
  return VALUE_LISTS.get(field) ?? USUAL_LIST;
}
