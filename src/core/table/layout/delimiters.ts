/** " ": runs of spaces or tabs count as one delimiter. */
export type Delimiter = "," | ";" | "\t" | "|" | " ";
export type DecimalMark = "." | ",";

export const DELIMITERS: readonly Delimiter[] = ["\t", ";", "|", ",", " "];
