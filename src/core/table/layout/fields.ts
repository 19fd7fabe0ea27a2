import type { Delimiter } from "./delimiters.js";

/**
 * The fields of one line. A field in double quotes may hold the delimiter, and a doubled quote stands for one
 * (RFC 4180); spaces around a delimiter other than " " stay part of the field.
 */
export function splitFields(line: string, delimiter: Delimiter): string[] {
  if (delimiter === " ") return line.trim() === "" ? [] : line.trim().split(/[ \t]+/);
  if (!line.includes('"')) return line.split(delimiter);
  const fields: string[] = [];
  let field = "";
  let quoted = false;
  for (let at = 0; at < line.length; at++) {
    const character = line[at] as string;
    if (character === '"') {
      if (quoted && line[at + 1] === '"') {
        field += '"';
        at++;
      } else {
        quoted = !quoted;
      }
    } else if (character === delimiter && !quoted) {
      fields.push(field);
      field = "";
    } else {
      field += character;
    }
  }
  fields.push(field);
  return fields;
}
