import { parseUnit, type Unit } from "../../units/units.js";

/** A number as people write it: with a typographic minus, marks between thousands, or its unit beside it. */
export interface LooseNumber {
  readonly value: number;
  /** The unit that stands beside it in the cell. */
  readonly unit: Unit | null;
  /** The text of that unit. */
  readonly unitText: string | null;
  /** Its one mark may divide thousands, or be a decimal mark: "16,800". */
  readonly mayBeThousands: boolean;
}

const LOOSE =
  /^([-+\u0096\u2212\u2013\u2010\u2011\ufe63\uff0d]?)\s*([\d.,'\u2019_\u00a0\u2009\u202f ]*\d[.,]?)((?:[eE][-+\u2212]?\d+)?)\s*([^\d\s][^\d]{0,11})?$/u;
const MAX_LENGTH = 48;
const MINUS = /[\u0096\u2212\u2013\u2010\u2011\ufe63\uff0d]/u;
/** Accounts write a negative number so. */
const PARENTHESES = /^\(\s*(\d[^()]*)\)$/;
/** Marks that stand between thousands and nowhere else in a number. */
const GROUPED = /^\d{1,3}(?:(['\u2019_\u00a0\u2009\u202f ])\d{3})(?:\1\d{3})*$/u;

/**
 * Reads a cell that is no plain number; null when it is none in this way either.
 *
 * @param decimalMark that of the log; the other one of "." and "," may then divide thousands
 */
export function parseLooseNumber(text: string, decimalMark: "." | ","): LooseNumber | null {
  if (text.length > MAX_LENGTH) return null;
  const bare = text
    .trim()
    .replaceAll('"', "")
    .replace(/^'(.*)'$/, "$1");
  const inParentheses = PARENTHESES.exec(bare)?.[1];
  const match = LOOSE.exec(inParentheses ?? bare);
  if (!match) return null;
  const [, sign = "", body = "", exponent = "", suffix] = match;
  const unit = suffix === undefined ? null : parseUnit(suffix);
  if (suffix !== undefined && !unit) return null;
  const plain = plainDigits(body.trim(), decimalMark);
  if (!plain) return null;
  const value = Number(`${plain.digits}${exponent.replace(MINUS, "-")}`);
  if (!Number.isFinite(value)) return null;
  const isNegative = sign === "-" || MINUS.test(sign) || inParentheses !== undefined;
  return {
    value: isNegative ? -value : value,
    unit,
    unitText: suffix?.trim() ?? null,
    mayBeThousands: plain.mayBeThousands,
  };
}

function plainDigits(body: string, mark: "." | ","): { digits: string; mayBeThousands: boolean } | null {
  const group = mark === "." ? "," : ".";
  const [whole = "", decimals, ...rest] = body.split(mark);
  if (rest.length > 0 || (decimals !== undefined && !/^\d*$/.test(decimals))) return null;
  const fraction = decimals === undefined || decimals === "" ? "" : `.${decimals}`;
  if (/^\d*$/.test(whole))
    return whole === "" && fraction === "" ? null : { digits: `${whole || "0"}${fraction}`, mayBeThousands: false };
  if (GROUPED.test(whole)) return { digits: `${whole.replace(/\D/gu, "")}${fraction}`, mayBeThousands: false };
  const groups = whole.split(group);
  const isGrouped =
    groups.length > 1 && /^[1-9]\d{0,2}$/.test(groups[0] ?? "") && groups.slice(1).every((one) => /^\d{3}$/.test(one));
  if (!isGrouped) return null;
  return { digits: `${groups.join("")}${fraction}`, mayBeThousands: groups.length === 2 && fraction === "" };
}
