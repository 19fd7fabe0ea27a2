import { strToU8, zipSync } from "fflate";

/** A cell of a sheet: a number, a text, a date as its serial number, or a formula with the value that was stored with it. */
export type SheetCell =
  | number
  | string
  | { readonly date: number }
  | { readonly formula: string; readonly value: number | null };

const XML = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n';
const MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
const RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
const PACKAGE = "http://schemas.openxmlformats.org/package/2006";
const MTIME = "2026-05-02T09:12:00";

/** The smallest workbook of Office Open XML (ECMA-376, part 1, 18) with these sheets, written by hand. */
export function workbookOf(...sheets: readonly (readonly (readonly SheetCell[])[])[]): Uint8Array {
  const numbers = sheets.map((_, at) => at + 1);
  const files: Record<string, string> = {
    "[Content_Types].xml": `${XML}<Types xmlns="${PACKAGE}/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/></Types>`,
    "_rels/.rels": `${XML}<Relationships xmlns="${PACKAGE}/relationships"><Relationship Id="rId1" Type="${RELATIONS}/officeDocument" Target="xl/workbook.xml"/></Relationships>`,
    "xl/workbook.xml": `${XML}<workbook xmlns="${MAIN}" xmlns:r="${RELATIONS}"><sheets>${numbers.map((n) => `<sheet name="Sheet ${n}" sheetId="${n}" r:id="rId${n}"/>`).join("")}</sheets></workbook>`,
    "xl/_rels/workbook.xml.rels": `${XML}<Relationships xmlns="${PACKAGE}/relationships">${numbers.map((n) => `<Relationship Id="rId${n}" Type="${RELATIONS}/worksheet" Target="worksheets/sheet${n}.xml"/>`).join("")}<Relationship Id="rId${numbers.length + 1}" Type="${RELATIONS}/styles" Target="styles.xml"/></Relationships>`,
    "xl/styles.xml": `${XML}<styleSheet xmlns="${MAIN}"><cellXfs count="2"><xf numFmtId="0"/><xf numFmtId="22" applyNumberFormat="1"/></cellXfs></styleSheet>`,
  };
  for (const [at, rows] of sheets.entries()) {
    const body = rows.map(
      (row, r) =>
        `<row r="${r + 1}">${row.map((cell, column) => cellXml(cell, `${String.fromCharCode(65 + column)}${r + 1}`)).join("")}</row>`,
    );
    files[`xl/worksheets/sheet${at + 1}.xml`] =
      `${XML}<worksheet xmlns="${MAIN}"><sheetData>${body.join("")}</sheetData></worksheet>`;
  }
  return zipSync(
    Object.fromEntries(Object.entries(files).map(([name, xml]) => [name, [strToU8(xml), { mtime: MTIME }]])),
  );
}

function cellXml(cell: SheetCell, reference: string): string {
  if (typeof cell === "number") return `<c r="${reference}"><v>${cell}</v></c>`;
  if (typeof cell === "string")
    return cell === "" ? "" : `<c r="${reference}" t="inlineStr"><is><t>${cell}</t></is></c>`;
  if ("date" in cell) return `<c r="${reference}" s="1"><v>${cell.date}</v></c>`;
  return `<c r="${reference}"><f>${cell.formula}</f>${cell.value === null ? "" : `<v>${cell.value}</v>`}</c>`;
}
