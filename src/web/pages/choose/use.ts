/** What a person says of the use, as read from the form. */
export interface Use {
  readonly watts: number;
  readonly seconds: number;
  readonly restWatts: number;
  readonly restSeconds: number;
  readonly repeats: number;
  readonly startC: number;
}

/** The fields of the form: name, what people read, its unit, value to begin with, and bounds. */
export const FIELDS: readonly {
  readonly name: keyof Use;
  readonly label: string;
  readonly unit: string;
  readonly usual: number;
  readonly min: number;
  readonly max: number;
}[] = [
  { name: "watts", label: "Power at full throttle", unit: "W", usual: 800, min: 1, max: 50_000 },
  { name: "seconds", label: "Full throttle for", unit: "s", usual: 20, min: 1, max: 3_600 },
  { name: "restWatts", label: "Power in between", unit: "W", usual: 200, min: 0, max: 50_000 },
  { name: "restSeconds", label: "In between for", unit: "s", usual: 20, min: 0, max: 3_600 },
  { name: "repeats", label: "How many times", unit: "", usual: 5, min: 1, max: 100 },
  { name: "startC", label: "Pack temperature at the start", unit: "\u00b0C", usual: 23, min: -10, max: 50 },
];

/** What of the form is a number within its bounds; what is not is named. */
export function readUse(query: URLSearchParams): { readonly use: Use; readonly wrong: readonly string[] } {
  const wrong: string[] = [];
  const values = FIELDS.map(({ name, usual, min, max, label }) => {
    const text = query.get(name);
    const value = text === null || text.trim() === "" ? usual : Number(text);
    if (Number.isFinite(value) && value >= min && value <= max) return [name, value] as const;
    wrong.push(`${label}: give a number from ${min} to ${max}.`);
    return [name, usual] as const;
  });
  return { use: Object.fromEntries(values) as unknown as Use, wrong };
}
