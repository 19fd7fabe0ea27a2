/** How many lines end in each way. */
export interface LineEnds {
  readonly lf: number;
  readonly crlf: number;
  readonly cr: number;
}
