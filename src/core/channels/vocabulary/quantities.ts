import type { Channel } from "../../model.js";

/**
 * Words for a quantity in column headers: English, German, French, Spanish, Portuguese, Italian, Dutch, Swedish, Danish, Norwegian,
 * Finnish, Polish, Czech, Hungarian, Romanian, Turkish, Greek, Russian, Ukrainian, Chinese, Japanese and Korean.
 */
export const QUANTITY_WORDS: Readonly<Record<Channel, string>> = {
  time: `time timestamp datetime elapsed runtime clock t epoch unix uptime duration when
    zeit laufzeit zeitstempel uhrzeit zeitpunkt dauer messzeit temps duree horodatage heure tiempo duracion fecha hora tempo
    duracao ora durata tijd tijdstip tijdstempel tijdsduur tid tidspunkt tidsstampel aika czas godzina cas doba ido idopont timp zaman sure
    χρονος время час 时间 時間 时刻 時刻 経過時間 시간 date datum data dato timer tod datetimeutc`,
  voltage: `voltage volts volt voltages vbat vbatt u v spannung tension voltaje tensao tensione spanning
    spaenning spenning jannite napiecie napeti feszultseg tensiune gerilim voltaj ταση напряжение напруга 电压 電壓 電圧 전압`,
  current: `current currents curr cur amps amp ampere amperes amperage i strom courant intensite corriente intensidad corrente
    intensidade stroom stroem virta laststrom prad natezenie proud aram curent akim ρευμα ток струм 电流 電流 전류`,
  temperature: `temperature temp  temperatur temperatures temperatura temperatuur lampotila teplota homerseklet
    sicaklik θερμοκρασια температура 温度 溫度 온도 tmp`,
  power: `power pwr watts watt wattage p leistung puissance potencia potenza vermogen effekt teho moc vykon teljesitmeny putere guc
    ισχυς мощность потужність 功率 電力 전력`,
  charge: `charge capacity cap mah ah q ladung kapazitat kapazitaet capacite carga capacidad capacidade capacita lading
    capaciteit kapacitet kapasitet kapasiteetti ladunek pojemnosc kapacita kapacitas capacitate kapasite χωρητικοτητα
    емкость заряд ємність 容量 电量 電量 용량`,
  energy: `energy wh energie energia energi enerji ενεργεια энергия енергія 能量 エネルギー 에너지`,
  cell: `cell cells zelle zellen zell cellule element celda cella celle cel celler  kenno ogniwo ogniwa clanek cellak hucre κυψελη
    ячейка ячейки банка банки элемент елемент комірка 电芯 電芯 单体 單體 电池芯 セル 셀 celula tap taps`,
};

/** One quantity named by a word that is another's too. */
export const ALSO: Readonly<Partial<Record<string, Channel>>> = {
  t: "temperature",
  capacity: "energy",
  kapazitat: "energy",
  temps: "temperature",
};

/** Words of a voltage that is counted from the pack's negative end up, over several cells. */
export const TAP_WORDS = "tap taps abgriff abgriffe prise toma presa";
