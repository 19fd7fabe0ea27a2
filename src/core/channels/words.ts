import type { Channel } from "../model.js";

/**
 * Words of column headers in English, German, French, Spanish, Italian, Dutch and Polish, without accents.
 * A word must stand alone in the header ("Pack voltage", "U_akku").
 */
const CHANNEL_WORDS: Readonly<Record<Channel, string>> = {
  time: "time elapsed timestamp datetime t zeit laufzeit zeitstempel uhrzeit temps duree horodatage tiempo fecha hora tempo ora tijd tijdstip czas heure zeitpunkt tijdstempel godzina epoch unix",
  voltage: "voltage volts volt vbat u v spannung tension voltaje tensione spanning napiecie",
  current: "current amps amp ampere i strom courant intensite corriente intensidad corrente stroom prad natezenie",
  temperature: "temperature temp temperatur temperatura temperatuur",
  power: "power watts watt p leistung puissance potencia potenza vermogen moc",
  charge:
    "charge capacity mah ah q ladung kapazitaet kapazitat capacite carga capacidad carica capacita lading capaciteit ladunek pojemnosc",
  energy: "energy wh energie energia",
  cell: "cell zelle cellule element celda cella cel ogniwo",
};

/** Words that say a column belongs to the whole pack, which settles a choice between several. */
const PACK_WORDS = "pack battery akku batterie batteria bateria accu akumulator pakiet total";

/** Words that say a column is not about the pack at all. */
const FOREIGN_WORDS =
  "ambient umgebung ambiante ambiente omgeving otoczenia otoczenie setpoint soll set target limit receiver bec controller esc motor fet fets mosfet board pcb heatsink radiator resistor resistors chip cpu mcu logger device";

/** Words that say a column is a statistic of the readings; it yields to one of the readings themselves. */
const QUALIFIER_WORDS =
  "min max avg mean average minimum maximum mittel mittelwert moyenne moy media promedio gemiddelde srednia peak";

/** Words beside which a bare C, F or K is a temperature, and no C-rate. */
const PROBE_WORDS = "t probe sensor ntc thermistor thermocouple sonde fuhler sonda";

const toSet = (words: string): ReadonlySet<string> => new Set(words.split(" "));

export const WORDS_OF_CHANNEL: ReadonlyMap<Channel, ReadonlySet<string>> = new Map(
  (Object.entries(CHANNEL_WORDS) as [Channel, string][]).map(([channel, words]) => [channel, toSet(words)]),
);
export const WORDS_OF_PACK = toSet(PACK_WORDS);
export const WORDS_OF_QUALIFIERS = toSet(QUALIFIER_WORDS);
export const WORDS_OF_PROBES = toSet(PROBE_WORDS);
export const WORDS_OF_OTHERS = toSet(FOREIGN_WORDS);
