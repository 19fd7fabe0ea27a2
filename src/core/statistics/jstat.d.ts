/** The part of the library's interface that is used here; it brings no types of its own. */
declare module "jstat" {
  const library: {
    readonly jStat: {
      readonly studentt: { inv(probability: number, degreesOfFreedom: number): number };
      readonly normal: { cdf(x: number, mean: number, deviation: number): number };
      readonly centralF: { inv(probability: number, numerator: number, denominator: number): number };
    };
  };
  export default library;
}
