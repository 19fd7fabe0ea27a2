/** The newest version of each protocol, in the order in which the keys first appear. */
export function newestOf<T extends { readonly key: string; readonly version: number }>(protocols: readonly T[]): T[] {
  const versions = Map.groupBy(protocols, ({ key }) => key).values();
  return Array.from(versions, (some) => some.reduce((newest, one) => (one.version > newest.version ? one : newest)));
}
