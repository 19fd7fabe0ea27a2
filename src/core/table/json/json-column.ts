/** One column of a table in JSON. */
export interface JsonColumn {
  readonly name: string;
  readonly unit: string | null;
  readonly values: readonly unknown[];
}
