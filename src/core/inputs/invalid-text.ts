import { type InputError, pointerTo } from "./input-error.js";

const MAX_NESTING = 32;
const RESERVED_NAMES = new Set(["__proto__", "constructor", "prototype"]);

interface Place {
  readonly pointer: string;
  readonly value: unknown;
}

function faultOfName(name: string): string | null {
  if (RESERVED_NAMES.has(name)) return "is not known here";
  return faultOfText(name);
}

/** NUL and half a character (a lone surrogate) can be written in JSON, but no database of text can hold them. */
function faultOfText(text: string): string | null {
  return text.includes("\0") || !text.isWellFormed() ? "must be a string of whole characters without NUL" : null;
}

/**
 * What no input class can be made of or no database could hold, wherever it stands, even in objects that are otherwise
 * free. It goes level by level, so that no depth exhausts the stack.
 */
export function findInvalidText(value: unknown): InputError | null {
  if (typeof value !== "object" || value === null || Array.isArray(value)) {
    return { pointer: "", message: "must be an object" };
  }
  let level: Place[] = [{ pointer: "", value }];
  for (let depth = 0; level.length > 0; depth++) {
    if (depth > MAX_NESTING) return { pointer: "", message: `must be nested at most ${MAX_NESTING} levels deep` };
    const next: Place[] = [];
    for (const place of level) {
      if (typeof place.value === "string") {
        const message = faultOfText(place.value);
        if (message) return { pointer: place.pointer, message };
      }
      if (typeof place.value !== "object" || place.value === null) continue;
      for (const [name, member] of Object.entries(place.value)) {
        const pointer = pointerTo(place.pointer, name);
        const message = faultOfName(name);
        if (message) return { pointer, message };
        next.push({ pointer, value: member });
      }
    }
    level = next;
  }
  return null;
}
