import { symbol, symbolCircle, symbolDiamond, symbolSquare, symbolTriangle, symbolWye } from "d3-shape";
import { element } from "./svg.js";

/**
 * Colours of series, found by a search for the largest least difference (CIEDE2000) as people see them with and without a deficiency of
 * colour vision, at a contrast with white above 3:1 (WCAG 2.2, 1.4.11). The test holds both.
 */
export const COLOURS = ["#9f0042", "#876df9", "#354e03", "#968c25", "#2e23cc", "#29937e", "#fb4162"] as const;

/** Dashes and marks tell series apart without colour; their numbers share no factor, so that a pair comes again only after all. */
const DASHES = [null, "7 3", "2 3", "9 3 2 3"] as const;
const MARKS = [symbolCircle, symbolSquare, symbolTriangle, symbolDiamond, symbolWye] as const;
/** Area of a mark, px². */
const MARK_AREA = 46;

const of = <T>(list: readonly T[], index: number): T => list[index % list.length] as T;

export const colourOf = (index: number): string => of(COLOURS, index);
export const dashOf = (index: number): string | null => of(DASHES, index);

/** The mark of a series at a point; hollow for what is less certain. */
export function mark(index: number, x: number, y: number, hollow = false): string {
  const colour = colourOf(index);
  const path = symbol(of(MARKS, index), MARK_AREA).digits(2)() ?? "";
  return element("path", {
    d: path,
    transform: `translate(${Math.round(x * 100) / 100} ${Math.round(y * 100) / 100})`,
    fill: hollow ? "#ffffff" : colour,
    stroke: hollow ? colour : "#ffffff",
    "stroke-width": hollow ? 1.5 : 0.8,
  });
}
