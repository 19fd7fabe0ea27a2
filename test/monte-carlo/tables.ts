import type { Summary } from "./summary.js";

export const percent = (share: number, decimals: number): string => `${(100 * share).toFixed(decimals)} %`;

export const SUMMARY_HEADER = [
  "figure",
  "count",
  "rms",
  "95 % quantile",
  "within 2 u",
  "k of 95 %",
  "times too wide",
] as const;

export function summaryRow({ figure, count, rms, quantile95, within2u, factor95, timesTooWide }: Summary): string[] {
  return [
    figure,
    String(count),
    percent(rms, 3),
    percent(quantile95, 3),
    percent(within2u, 1),
    factor95.toFixed(2),
    timesTooWide.toFixed(2),
  ];
}

export function markdownTable(header: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (cells: readonly string[]) => `| ${cells.join(" | ")} |`;
  return [line(header), line(header.map(() => "---")), ...rows.map(line)].join("\n");
}
