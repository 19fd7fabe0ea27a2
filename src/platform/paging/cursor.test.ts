import { describe, expect, it } from "@jest/globals";
import fc from "fast-check";
import { Problem } from "../problems/problem.js";
import { decodeCursor, encodeCursor } from "./cursor.js";

const id = "01a2122e-e1a4-753d-899e-c914096834c6";

describe("a cursor", () => {
  it("gives back the keys that it was made of, to the last bit of a number", () => {
    const text = fc.string({ maxLength: 40 }).filter((written) => !written.includes("\0"));
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), text, (number, written) => {
        const key = [number + 0, id, written];
        expect(decodeCursor(encodeCursor(key), ["number", "uuid", "text"])).toEqual(
          key.map((item) => (item === 0 ? 0 : item)),
        );
      }),
    );
  });

  it("of anything else is the client's mistake and nothing worse", () => {
    fc.assert(
      fc.property(
        fc.oneof(
          fc.string(),
          fc.base64String(),
          fc.json().map((text) => Buffer.from(text).toString("base64url")),
        ),
        (cursor) => {
          expect(() => decodeCursor(cursor, ["number", "uuid"])).toThrow(Problem);
        },
      ),
    );
  });

  it.each([
    ["another list's", [id], ["number", "uuid"]],
    ["with a number for an id", [1], ["uuid"]],
    ["with NUL in its text", ["a\0"], ["text"]],
  ] as const)("%s is refused", (_, key, kinds) => {
    expect(() => decodeCursor(encodeCursor(key), kinds)).toThrow(Problem);
  });
});
