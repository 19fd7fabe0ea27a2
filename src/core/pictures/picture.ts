/** What a picture says beside what it draws. */
export interface PictureFrame {
  readonly title: string;
  /** Unit and basis of what is shown. */
  readonly subtitle: string;
  /** What is to be seen, for who cannot see it. */
  readonly description: string;
  /** Address of what is shown. */
  readonly source: string;
  /** Day of what is shown, RFC 3339 full-date. */
  readonly date: string;
  readonly size: PictureSize;
}

export const PICTURE_SIZES = ["small", "large"] as const;
export type PictureSize = (typeof PICTURE_SIZES)[number];

/** A line over x with a band of uncertainty about it. All arrays have the same length. */
export interface Curve {
  readonly name: string;
  readonly x: readonly number[];
  readonly y: readonly number[];
  /** Half-width of the band, as a share of y. */
  readonly bandShare?: number | undefined;
  /** Points in place of a line, each with an error bar of half-height `u`. */
  readonly points?: boolean | undefined;
  readonly u?: readonly number[] | undefined;
}

/** A vertical line at an instant, with a word. */
export interface Flag {
  readonly x: number;
  readonly label: string;
}

/** A stretch along x that something was found in. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
  readonly label: string;
}

/** One chart under another with the same x. */
export interface Panel {
  readonly yLabel: string;
  readonly curves: readonly Curve[];
  /** A horizontal line with a word, such as a limit. */
  readonly level?: { readonly y: number; readonly label: string } | undefined;
  /** Lowest and highest y where they are not to follow from the curves. */
  readonly from?: number | undefined;
}

export interface ChartPicture extends PictureFrame {
  readonly kind: "chart";
  readonly xLabel: string;
  readonly panels: readonly Panel[];
  readonly flags: readonly Flag[];
  readonly stretches: readonly Stretch[];
  /** Words under x in place of numbers: place i at x = i. */
  readonly categories?: readonly string[] | undefined;
}

/** A row of values with bars of uncertainty. */
export interface BarRow {
  readonly name: string;
  readonly note: string;
  readonly value: number;
  /** Half-width of the bar of uncertainty. */
  readonly expanded: number;
  /** The value as it is written, with its unit. */
  readonly shown: string;
  /** Drawn hollow: only provisional, or only a bound. */
  readonly hollow: boolean;
}

export interface BarsPicture extends PictureFrame {
  readonly kind: "bars";
  readonly xLabel: string;
  readonly rows: readonly BarRow[];
}

export type Picture = ChartPicture | BarsPicture;
