import { digits, type Layout, rowsOf } from "./layout.js";

/** Lines before the header, German words, semicolons, decimal commas, ms, mV and mA, in Latin-1. */
export const semicolon: Layout = {
  extension: "txt",
  mediaType: "text/plain",
  write: (log, { resolution, startedAt, title }) => {
    const { temperature } = log;
    const preamble = [
      `Prüfstand-Aufzeichnung: ${title}`,
      `Beginn: ${startedAt.toISOString().slice(0, 10)}`,
      "Entladung unter Last, Werte an den Klemmen der Messleitung",
      "",
    ];
    const header = ["Zeit (ms)", "Spannung (mV)", "Strom (mA)", ...(temperature ? ["Temperatur (°C)"] : [])];
    const rows = rowsOf(log, (i, seconds) => [
      (seconds * 1000).toFixed(1),
      digits(log.voltage, i, resolution.volts, 1000),
      digits(log.current, i, resolution.amperes, 1000),
      ...(temperature ? [digits(temperature, i, resolution.kelvin)] : []),
    ]).map((fields) => fields.join(";").replaceAll(".", ","));
    return Buffer.from([...preamble, header.join(";"), ...rows, ""].join("\r\n"), "latin1");
  },
};
