import type { Multipart } from "@fastify/multipart";
import { findInvalidText } from "../../../core/inputs/invalid-text.js";
import { readUtf8 } from "../../../platform/http/requests/bodies.js";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { Problem } from "../../../platform/problems/problem.js";

/**
 * Reads a part that is a JSON object, whether it was sent as a field or as a file.
 *
 * @throws Problem when it has more than `mostBytes`, is no JSON, or is no object that an input can be made of
 */
export async function readJsonPart(part: Multipart, mostBytes: number): Promise<object> {
  const value =
    part.type === "file" ? parse(part.fieldname, await readText(part, mostBytes)) : ofField(part, mostBytes);
  const unreadable = findInvalidText(value);
  if (unreadable) throw invalidInput([unreadable]);
  return value as object;
}

function ofField(part: Multipart & { type: "field" }, mostBytes: number): unknown {
  if (part.valueTruncated) throw tooLarge(part.fieldname, mostBytes);
  // The plugin has parsed a field that was sent as JSON already.
  return typeof part.value === "string" ? parse(part.fieldname, part.value) : part.value;
}

async function readText({ file, fieldname }: Multipart & { type: "file" }, mostBytes: number): Promise<string> {
  const chunks: Buffer[] = [];
  let bytes = 0;
  for await (const chunk of file as AsyncIterable<Buffer>) {
    bytes += chunk.length;
    if (bytes > mostBytes) throw tooLarge(fieldname, mostBytes);
    chunks.push(chunk);
  }
  return readUtf8(Buffer.concat(chunks));
}

function parse(name: string, text: string): unknown {
  try {
    return JSON.parse(text);
  } catch (error) {
    if (!(error instanceof SyntaxError)) throw error;
    throw new Problem("malformed-body", `The part \`${name}\` must be JSON, such as {"protocol": "full-load", ...}.`, {
      errors: [{ pointer: `/${name}`, message: error.message }],
    });
  }
}

function tooLarge(name: string, mostBytes: number): Problem {
  return new Problem("too-large", `The part \`${name}\` may have at most ${mostBytes / 1024} KiB.`);
}
