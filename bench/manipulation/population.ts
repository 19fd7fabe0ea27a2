/** What is assumed of a community, not measured. Shares are of the value. */
export interface Population {
  readonly name: string;
  readonly seed: number;
  /** Standard deviation of the biases of calibrated benches. */
  readonly bias: number;
  /** Share of newcomers who are off without knowing it, and by how much at least and at most. */
  readonly uncalibrated: number;
  readonly off: readonly [number, number];
  /** Standard deviations between specimens of a pack and between repeats. */
  readonly specimens: number;
  readonly repeats: number;
  readonly packs: number;
  /** Median of the packs that one tester measures in two years. */
  readonly packsOfATester: number;
}

/** The rules were designed on the first one and are judged on the second, which nothing was fitted to. */
export const POPULATIONS: readonly Population[] = [
  {
    name: "design",
    seed: 14,
    bias: 0.007,
    uncalibrated: 0.12,
    off: [0.02, 0.03],
    specimens: 0.005,
    repeats: 0.0025,
    packs: 60,
    packsOfATester: 6,
  },
  {
    name: "judging",
    seed: 271_828,
    bias: 0.008,
    uncalibrated: 0.2,
    off: [0.018, 0.04],
    specimens: 0.006,
    repeats: 0.004,
    packs: 40,
    packsOfATester: 9,
  },
];
