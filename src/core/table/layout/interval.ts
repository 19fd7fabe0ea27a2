import { parseUnit } from "../../units/units.js";

/** A time between two rows that stands above the table. */
export interface DeclaredInterval {
  readonly seconds: number;
  readonly line: number;
  readonly text: string;
}

const INTERVAL =
  /(?:interval\w*|period\w*|time\s?step|timestep|\bdt\b|step\s?size|abtastzeit|abtastintervall|messintervall|intervalle|intervalo|intervallo|periode|interwał|okres|интервал|间隔|間隔)[^\d=:]*[=:,;\t ]\s*"?(\d+(?:[.,]\d+)?)\s*[",;\t]?\s*\[?([\p{L}µμ]+)\]?/iu;
const RATE =
  /(?:rate|frequen\w*|abtastrate|messrate|frequenz|fréquence|cadence|frecuencia|frequenza|частота|频率|頻率|\bfs\b)[^\d=:]*[=:,;\t ]\s*"?(\d+(?:[.,]\d+)?)\s*[",;\t]?\s*\[?(k?Hz|S\/s|sps|samples?\/s\w*|\/s|1\/s|гц)\b/iu;
const RATE_WITH_UNIT_BEFORE =
  /(?:rate|frequen\w*|frequenz|\bfs\b)\s*[[(]\s*(?:k?Hz|S\/s|sps)\s*[\])]\s*[=:,;\t ]\s*"?(\d+(?:[.,]\d+)?)/i;
const UNIT_BEFORE = /\(\s*(m?s|µs|us|sec|min)\s*\)|\[\s*(m?s|µs|us|sec|min)\s*\]/i;
const INTERVAL_WITH_UNIT_BEFORE =
  /(?:interval\w*|period\w*|time\s?step|timestep|\bdt\b)[^=:,;\t]*[=:,;\t ]\s*"?(\d+(?:[.,]\d+)?)\s*"?\s*[,;]*\s*$/i;

/** The interval between rows that lines above a table declare; null when none does, or they do not agree. */
export function declaredInterval(
  lines: readonly { readonly line: number; readonly text: string }[],
): DeclaredInterval | null {
  const found = lines.flatMap(({ line, text }) => {
    const seconds = secondsIn(text);
    return seconds !== null && seconds > 0 ? [{ seconds, line, text: text.trim().slice(0, 80) }] : [];
  });
  const [first] = found;
  return first && found.every(({ seconds }) => Math.abs(seconds / first.seconds - 1) < 1e-9) ? first : null;
}

function secondsIn(text: string): number | null {
  const rate = RATE.exec(text) ?? RATE_WITH_UNIT_BEFORE.exec(text);
  if (rate) return 1 / (decimal(rate[1]) * (/^k|[[(]\s*k/i.test(rate[2] ?? rate[0]) ? 1000 : 1));
  const unitBefore = UNIT_BEFORE.exec(text);
  const bare = unitBefore ? INTERVAL_WITH_UNIT_BEFORE.exec(text) : null;
  if (bare) return inSeconds(decimal(bare[1]), unitBefore?.[1] ?? unitBefore?.[2] ?? "");
  const interval = INTERVAL.exec(text);
  return interval ? inSeconds(decimal(interval[1]), interval[2] ?? "") : null;
}

function inSeconds(count: number, spelling: string): number | null {
  const unit = parseUnit(spelling);
  if (unit?.dimension !== "time") return null;
  return unit.factor < 1 ? count / Math.round(1 / unit.factor) : count * unit.factor;
}

const decimal = (text = ""): number => Number(text.replace(",", "."));
