export const DIRECTIONS = ["higher", "lower"] as const;

/** Which way a figure is better; null where neither is, such as for the current, which the load decides. */
export type Direction = (typeof DIRECTIONS)[number] | null;

/** A figure as people are told of it; `docs/definitions.md` defines it to the last step. */
export interface FigureDescription {
  readonly title: string;
  readonly direction: Direction;
  readonly definition: string;
}

const QUANTITIES = {
  power: { title: "Power", direction: "higher" },
  voltage: { title: "Voltage under load", direction: "higher" },
  current: { title: "Current", direction: null },
} as const;

const MARKS = {
  peak: { title: "peak", when: "over the half second of the first 5 s in which the power is largest" },
  "10s": { title: "at 10 s", when: "over the second around 10 s after the onset of load" },
  "30s": { title: "at 30 s", when: "over the second around 30 s after the onset of load" },
  cutoff: { title: "at the cutoff", when: "over the half second before the cutoff voltage is reached" },
} as const;

const RESISTANCES = {
  "1s": "fall of the voltage from rest to 1 s of load, by the current then",
  "10s": "fall of the voltage from rest to 10 s of load, by the current then",
  "two-pulse":
    "difference of the voltages at the ends of two pulses, by the difference of their currents (IEC 61960-3)",
} as const;

const SCALES = {
  "": { title: "", suffix: "" },
  "-per-cell": { title: " per cell", suffix: ", divided by the cells in series" },
  "-times-it": {
    title: " per cell, times It",
    suffix:
      ", divided by the cells in series and multiplied by 1 It: the fall of a cell's voltage at 1 It, for packs of any size",
  },
} as const;

const capital = (text: string): string => `${text.charAt(0).toUpperCase()}${text.slice(1)}`;

const marks = Object.entries(QUANTITIES).flatMap(([key, { title, direction }]) =>
  Object.entries(MARKS).map(([mark, { title: at, when }]): [string, FigureDescription] => [
    `${key}-${mark}`,
    { title: `${title} ${at}`, direction, definition: `Mean ${when}.` },
  ]),
);

const resistances = Object.entries(RESISTANCES).flatMap(([name, definition]) =>
  Object.entries(SCALES).map(([scale, { title, suffix }]): [string, FigureDescription] => [
    `resistance-${name}${scale}`,
    {
      title: `Resistance, ${name === "two-pulse" ? "two pulses" : name.replace("s", " s")}${title}`,
      direction: "lower",
      definition: `${capital(definition)}${suffix}.`,
    },
  ]),
);

const others: Readonly<Record<string, FigureDescription>> = {
  capacity: {
    title: "Capacity",
    direction: "higher",
    definition: "Integral of the current from the onset of load to the cutoff.",
  },
  energy: {
    title: "Energy",
    direction: "higher",
    definition: "Integral of the power from the onset of load to the cutoff.",
  },
  runtime: { title: "Run time", direction: "higher", definition: "Time from the onset of load to the cutoff." },
  "current-mean": {
    title: "Mean current",
    direction: null,
    definition: "Mean of the current from the onset of load to the end of reading.",
  },
  "sag-10s": {
    title: "Sag at 10 s",
    direction: "lower",
    definition: "Fall of the voltage per cell from rest to 10 s of load.",
  },
  "hold-30s": { title: "Hold at 30 s", direction: "higher", definition: "Power at 30 s as a share of the peak power." },
  "temperature-rise": {
    title: "Temperature rise",
    direction: "lower",
    definition: "Highest temperature under load above the temperature at its onset.",
  },
  "time-to-limit": {
    title: "Time to the temperature limit",
    direction: "higher",
    definition: "Time from the onset of load until the pack reached the protocol's temperature limit.",
  },
  "specific-energy": {
    title: "Specific energy",
    direction: "higher",
    definition: "Energy by the mass of the pack with leads and connector.",
  },
  "specific-power-10s": {
    title: "Specific power at 10 s",
    direction: "higher",
    definition: "Power at 10 s by the mass of the pack with leads and connector.",
  },
  "capacity-share": {
    title: "Capacity share",
    direction: "higher",
    definition: "Capacity as a share of the rated capacity.",
  },
  "verified-current": {
    title: "Verified continuous current",
    direction: "higher",
    definition:
      "Of a ladder: the highest step that reaches the cutoff below the temperature limit and lies below every step that does not.",
  },
  "verified-c": {
    title: "Verified C-rate",
    direction: "higher",
    definition: "Verified continuous current by the rated capacity.",
  },
  "claim-share": {
    title: "Share of the claim",
    direction: "higher",
    definition: "Verified continuous current as a share of the current that the label claims.",
  },
};

/** Of every figure by its key. */
export const FIGURE_DESCRIPTIONS: ReadonlyMap<string, FigureDescription> = new Map([
  ...marks,
  ...resistances,
  ...Object.entries(others),
]);
