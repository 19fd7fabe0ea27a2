/** What every picture says of itself. */
export interface Caption {
  /** What is shown. */
  readonly title: string;
  /** Of what, under what, in which units. */
  readonly subtitle: string;
  /** What the picture shows in words, for those who do not see it. */
  readonly description: string;
  /** Sentences under the picture: how to read it, what it leaves out. */
  readonly notes: readonly string[];
  /** Address that the same is read at. */
  readonly source: string;
  /** The day of which it is true, RFC 3339 full-date. */
  readonly date: string;
}

/** A quantity with its unit; none for a pure number. */
export interface Quantity {
  readonly name: string;
  readonly unit: string | null;
  /** Whether its axis goes by ratios; only values above zero lie on it. */
  readonly isLogarithmic?: boolean;
}

export const quantityText = ({ name, unit }: Quantity): string => (unit === null ? name : `${name} [${unit}]`);

/** A point of a series; where it is uncertain, the half-widths of its interval. */
export interface Point {
  readonly x: number;
  readonly y: number;
  readonly yHalf?: number;
  readonly xHalf?: number;
}

/** A curve, or single marks, told apart by its style: series of one index look alike in every panel. */
export interface Series {
  readonly index: number;
  readonly kind: "line" | "marks";
  /** Hollow marks are less certain than filled ones, such as provisional values. */
  readonly hollow?: boolean;
  readonly points: readonly Point[];
}

/** A panel: one quantity against what all panels share. */
export interface Panel {
  readonly quantity: Quantity;
  readonly series: readonly Series[];
  /** What its axis covers at least, so that noise about a steady value is not drawn as if it were a change. */
  readonly minSpan?: number;
  /** Values of the quantity that are drawn across, such as a limit. */
  readonly levels?: readonly { readonly value: number; readonly name: string }[];
}

/** Panels over one another, above one axis. */
export interface LineChart {
  readonly kind: "lines";
  readonly caption: Caption;
  readonly across: Quantity;
  /** Whether what is across is counted: its axis then has whole numbers alone. */
  readonly isCounted?: boolean;
  /** Names by the index of the series; without a legend when there is none. */
  readonly legend: readonly LegendEntry[];
  readonly panels: readonly Panel[];
  /** What is drawn through all panels, such as a mark at 10 s. */
  readonly instants?: readonly { readonly value: number; readonly name: string }[];
  /** What is shaded in all panels, with a short tag that the notes explain. */
  readonly spans?: readonly { readonly from: number; readonly to: number; readonly tag: string }[];
}

export interface LegendEntry {
  readonly index: number;
  readonly name: string;
  readonly kind: "line" | "marks";
  readonly hollow?: boolean;
}

/** A picture as it is made: text of an SVG document and its size in px. */
export interface Picture {
  readonly svg: string;
  readonly width: number;
  readonly height: number;
}

/** The licence of what is shown, which every picture names. */
export const LICENCE = "CC BY 4.0";

/** One value with the half-width of its interval, its name, and itself in words. */
export interface ValueRow {
  readonly name: string;
  readonly text: string;
  readonly value: number;
  readonly half: number;
  readonly index: number;
  readonly hollow?: boolean;
}

/** Values of one quantity, a row each. */
export interface RowChart {
  readonly kind: "rows";
  readonly caption: Caption;
  readonly quantity: Quantity;
  readonly legend: readonly LegendEntry[];
  readonly rows: readonly ValueRow[];
  /** A value that all rows make together. */
  readonly whole?: { readonly value: number; readonly half: number } | null;
}

export type Chart = LineChart | RowChart;
