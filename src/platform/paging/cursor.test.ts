import { describe, expect, it } from "@jest/globals";
import fc from "fast-check";
import { Problem } from "../problems/problem.js";
import { type CursorKey, type CursorList, decodeCursor, encodeCursor, type KeyKind } from "./cursor.js";

const id = "01a2122e-e1a4-753d-899e-c914096834c6";
const list = { name: "things", keys: ["number", "uuid", "text"], filters: { series: 4, search: null } } as const;
const byId = { name: "things", keys: ["uuid"] } as const;

describe("a cursor", () => {
  it("gives back the keys that it was made of, to the last bit of a number", () => {
    const text = fc.string({ maxLength: 40 }).filter((written) => !written.includes("\0"));
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), text, (number, written) => {
        const key = [number + 0, id, written] as const;
        expect(decodeCursor(list, encodeCursor(list, key))).toEqual(key.map((item) => (item === 0 ? 0 : item)));
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
          expect(() => decodeCursor(list, cursor)).toThrow(Problem);
        },
      ),
    );
  });

  it.each<[string, CursorList]>([
    ["another list of the same order", { ...byId, name: "others" }],
    ["the same list with a filter", { ...byId, filters: { series: 4 } }],
    ["the same list of somebody else", { ...byId, filters: { ownerId: id } }],
  ])("of %s is refused", (_, other) => {
    expect(() => decodeCursor(byId, encodeCursor(other, [id]))).toThrow(Problem);
    expect(() => decodeCursor(other, encodeCursor(byId, [id]))).toThrow(Problem);
  });

  it("is good however its list's filters are ordered, and whether one that narrows nothing is named", () => {
    const cursor = encodeCursor({ ...byId, filters: { series: 4, chemistry: "lipo" } }, [id]);
    const same = { ...byId, filters: { chemistry: "lipo", search: undefined, series: 4, maker: null } };
    expect(decodeCursor(same, cursor)).toEqual([id]);
  });

  it.each<[string, CursorKey, readonly KeyKind[]]>([
    ["with too few keys", [id], ["number", "uuid"]],
    ["with a number for an id", [1], ["uuid"]],
    ["with NUL in its text", ["a\0"], ["text"]],
  ])("%s is refused", (_, key, keys) => {
    const any = { name: "things", keys };
    expect(() => decodeCursor(any, encodeCursor(any, key))).toThrow(Problem);
  });
});
