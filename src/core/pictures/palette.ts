/**
 * Colours of series: dark enough for a contrast of 4.5 on white (WCAG 2.2, 1.4.3), and told apart with each kind of colour blindness by their
 * lightness, which alternates, and by dashes and marks beside them.
 */
export const SERIES_COLOURS = ["#1f4e9e", "#b3400a", "#0b6e5c", "#7d2a86", "#8a6100", "#2c2c34", "#a3154f", "#3d6b12"] as const;
export const SERIES_DASHES = ["", "9 4", "2 4", "12 4 2 4", "5 3", "16 5", "7 3 2 3", "3 3"] as const;

export const INK = "#1b1f24";
export const QUIET_INK = "#59616b";
export const PAPER = "#ffffff";
export const GRID = "#e3e6ea";
export const AXIS = "#767e88";

/** Colour and dash of the i-th series. */
export const seriesStyle = (i: number) => ({
  colour: SERIES_COLOURS[i % SERIES_COLOURS.length] as string,
  dash: SERIES_DASHES[i % SERIES_DASHES.length] as string,
});

/** Relative luminance of a colour such as #1f4e9e, 0 to 1 (WCAG 2.2, definition of relative luminance). */
export function luminance(colour: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => {
    const share = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

/** Contrast ratio of two colours, 1 to 21 (WCAG 2.2, definition of contrast ratio). */
export function contrast(a: string, b: string): number {
  const [bright, dark] = [luminance(a), luminance(b)].sort((x, y) => y - x) as [number, number];
  return (bright + 0.05) / (dark + 0.05);
}
