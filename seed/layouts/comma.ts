import { digits, type Layout, rowsOf, utf8 } from "./layout.js";

/** Commas, units in brackets in the header, seconds. */
export const comma: Layout = {
  extension: "csv",
  mediaType: "text/csv",
  write: (log, { resolution }) => {
    const { temperature } = log;
    const header = ["Time [s]", "Voltage [V]", "Current [A]", ...(temperature ? ["Temperature [degC]"] : [])];
    const rows = rowsOf(log, (i, seconds) => [
      seconds.toFixed(3),
      digits(log.voltage, i, resolution.volts),
      digits(log.current, i, resolution.amperes),
      ...(temperature ? [digits(temperature, i, resolution.kelvin)] : []),
    ]);
    return utf8([header, ...rows].map((fields) => `${fields.join(",")}\n`).join(""));
  },
};
