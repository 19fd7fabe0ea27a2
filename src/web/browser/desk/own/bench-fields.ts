import type { Field, FieldGroup } from "../../form/fields.js";
import type { View } from "../../service/view.js";

type Bench = View<"BenchView">;

export const LOADS: Readonly<Record<Bench["load"]["kind"], string>> = {
  throttle: "a motor at full throttle, or a like load",
  "constant-current": "constant current",
  "constant-resistance": "constant resistance",
  "constant-power": "constant power",
};
const POINTS = { pack: "at the pack's own terminals", lead: "past leads or a connector" };

/** What is stated of a bench; what a field is left empty of is not stated. @param bench with whose values it begins */
export function benchFields(bench: Bench | null): (Field | FieldGroup)[] {
  const { load, voltage, current, sense } = bench ?? {};
  const temperature = bench?.temperature as { readonly offset: number } | null | undefined;
  const number = (
    pointer: string,
    label: string,
    value: number | null | undefined,
    more: Partial<Field> = {},
  ): Field => ({
    pointer,
    label,
    kind: "number",
    value: value ?? null,
    ...more,
  });
  return [
    { pointer: "/label", label: "Your name for it", kind: "text", value: bench?.label ?? null, maxLength: 80 },
    {
      pointer: "/load/kind",
      label: "What draws the current",
      kind: "choice",
      options: LOADS,
      value: load?.kind ?? "throttle",
    },
    {
      title: "How accurate it reads",
      fields: [
        number("/voltage/percent", "Voltage, % of the reading", voltage?.percent),
        number("/voltage/offset", "Voltage, fixed part, V", voltage?.offset),
        number("/current/percent", "Current, % of the reading", current?.percent),
        number("/current/offset", "Current, fixed part, A", current?.offset),
        number("/temperature/offset", "Temperature, K", temperature?.offset, {
          hint: "Left empty where it is not logged.",
        }),
        number("/clockPercent", "The logger's clock, % (may be left out)", bench?.clockPercent, { emptyIsNull: true }),
      ],
    },
    {
      title: "Where the voltage is sensed",
      fields: [
        { pointer: "/sense/point", label: "Point", kind: "choice", options: POINTS, value: sense?.point ?? "pack" },
        number("/sense/resistanceMilliohm", "Resistance of both conductors, m\u03a9", sense?.resistanceMilliohm, {
          hint: "Past leads: this, or size and length below.",
          emptyIsNull: true,
        }),
        number("/sense/gaugeAwg", "Size of a lead, AWG", sense?.gaugeAwg, { emptyIsNull: true }),
        number("/sense/lengthMm", "Length of the pair one way, mm", sense?.lengthMm, { emptyIsNull: true }),
      ],
    },
  ];
}
