/** The part of the library's interface that is used here; it brings no types of its own. */
declare module "culori" {
  interface Colour {
    readonly mode: string;
  }
  export function rgb(colour: string | Colour): Colour;
  export function wcagContrast(one: string, other: string): number;
  export function differenceCiede2000(): (one: Colour, other: Colour) => number;
  export function filterDeficiencyProt(severity: number): (colour: Colour) => Colour;
  export function filterDeficiencyDeuter(severity: number): (colour: Colour) => Colour;
  export function filterDeficiencyTrit(severity: number): (colour: Colour) => Colour;
}
