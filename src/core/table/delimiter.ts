/** `blank`: runs of spaces or tabs count as one delimiter. */
export type Delimiter = "," | ";" | "\t" | "|" | "blank";
