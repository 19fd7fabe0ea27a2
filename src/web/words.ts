/** Protocols as people say them, by their keys. */
export const PROTOCOLS: Readonly<Record<string, string>> = {
  "full-load": "Full load",
  "current-ladder": "Current ladder",
  "two-pulse": "Two pulses",
  "rated-capacity": "Rated capacity",
};

export const VERDICTS: Readonly<Record<string, string>> = {
  conforming: "conforms",
  "conforming-adjusted": "conforms, corrected",
  nonconforming: "does not conform",
};

const SYMBOLS: Readonly<Record<string, string>> = {
  "1": "",
  mohm: "m\u03a9",
  ohm: "\u03a9",
  degC: "\u00b0C",
  ratio: "%",
};

/** A unit of the API as the trade writes it. */
export const unitSymbol = (unit: string): string => SYMBOLS[unit] ?? unit.replace(/\bmohm\b/g, "m\u03a9");
