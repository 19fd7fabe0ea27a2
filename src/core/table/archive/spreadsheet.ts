import { strFromU8, strToU8, zipSync } from "fflate";
import readWorkbook, { type CellValue } from "read-excel-file/universal";
import { LogError } from "../log-error.js";
import { filesIn, unpackFiles } from "./zip-archive.js";

/** A workbook as of Office Open XML (ECMA-376) names its parts so. */
const WORKBOOK = "xl/workbook.xml";
const STYLES = "xl/styles.xml";
const MIN_ROWS = 3;
const DAY_US = 86_400_000_000;
/** Serial number of 1970-01-01 in the date system that begins in 1900. */
const SERIAL_1970 = 25_569;

type Cell = CellValue | Date | null;

export const isWorkbook = (archive: Uint8Array): boolean => filesIn(archive).some(({ name }) => name === WORKBOOK);

/**
 * The one sheet of a workbook that holds a table, as text between tabs: what formulas gave when the file was saved, dates and times of day
 * as ISO 8601 writes them, to 10 us. Row n of the sheet is line n of the text.
 *
 * @throws LogError `log-not-text` when no sheet holds a table, or several do; `log-damaged` when the workbook is broken
 */
export async function workbookText(archive: Uint8Array): Promise<Uint8Array> {
  const names = filesIn(archive).map(({ name }) => name);
  const files = unpackFiles(
    archive,
    names.filter((name) => /\.(xml|rels)$/.test(name)),
  );
  // The library rounds dates down to milliseconds: with it the sheets tell which cells are dates, without styles their numbers.
  const styled = await sheetsOf(files);
  const styles = files[STYLES];
  const plain = styles ? await sheetsOf({ ...files, [STYLES]: withoutFormats(styles) }) : styled;
  const sheets = styled.map(({ sheet, data }, at) => ({ sheet, lines: linesOf(data, plain[at]?.data ?? []) }));
  const tables = sheets.filter(({ lines }) => lines.filter((line) => isRowOfNumbers(line)).length >= MIN_ROWS);
  const [only, ...others] = tables;
  if (only && others.length === 0) return strToU8(`${only.lines.join("\n")}\n`);
  const listed = tables.map(({ sheet }) => `"${sheet}"`).join(", ");
  throw new LogError(
    "log-not-text",
    only
      ? `The spreadsheet has ${tables.length} sheets with rows of numbers: ${listed}. Which one is the run is not known. Save that sheet alone, as a file of its own or as delimited text.`
      : `The spreadsheet has no sheet with rows of numbers; its sheets are: ${sheets.map(({ sheet }) => `"${sheet}"`).join(", ")}. Send the file that holds the samples.`,
  );
}

async function sheetsOf(files: Readonly<Record<string, Uint8Array>>): Promise<{ sheet: string; data: Cell[][] }[]> {
  const packed = zipSync({ ...files }, { level: 0 });
  try {
    const sheets = await readWorkbook(packed.buffer as ArrayBuffer, { trim: false });
    return sheets as unknown as { sheet: string; data: Cell[][] }[];
  } catch (error) {
    const message =
      typeof error === "object" && error !== null && "message" in error ? String(error.message) : "no reason given";
    throw new LogError(
      "log-damaged",
      `The spreadsheet cannot be read (${message.slice(0, 200)}). Open it, save it again, so that every formula's value is stored with it, and send it; or export the sheet as delimited text.`,
    );
  }
}

/** Styles of which none makes a number a date. */
const withoutFormats = (styles: Uint8Array): Uint8Array =>
  strToU8(strFromU8(styles).replace(/(<(?:\w+:)?xf\b[^>]*?\bnumFmtId=")\d+/g, "$10"));

const linesOf = (styled: readonly (readonly Cell[])[], plain: readonly (readonly Cell[])[]): readonly string[] =>
  styled.map((row, at) => row.map((cell, column) => textOf(cell, plain[at]?.[column] ?? null)).join("\t"));

function textOf(cell: Cell, plain: Cell): string {
  if (cell instanceof Date) return typeof plain === "number" ? dateText(plain) : cell.toISOString();
  if (cell === null) return "";
  return String(cell).replace(/[\t\r\n"]+/g, " ");
}

/** A serial number of days: a time of day below 1, else a date and time. */
function dateText(serial: number): string {
  const days = Math.floor(serial);
  const us = Math.round(((serial - days) * DAY_US) / 10) * 10;
  const carried = us >= DAY_US ? days + 1 : days;
  const instant = new Date((carried - SERIAL_1970) * 86_400_000 + Math.floor((us % DAY_US) / 1000)).toISOString();
  const clock = `${instant.slice(11, 23)}${String(us % 1000).padStart(3, "0")}`;
  return serial < 1
    ? clock
    : us === 0 || us === DAY_US
      ? `${instant.slice(0, 10)}T00:00:00`
      : `${instant.slice(0, 10)}T${clock}`;
}

const isRowOfNumbers = (line: string): boolean =>
  line.split("\t").filter((cell) => /^[-+]?[\d.,:T-]*\d/.test(cell)).length >= 2;
