import { expect, it } from "@jest/globals";
import { PROTOCOLS } from "../../../core/protocol/index.js";
import { unknownParts } from "./unknown-parts.js";

it("knows every part of the versions of this program, and names what a later one has beside", () => {
  expect(PROTOCOLS.flatMap(unknownParts)).toEqual([]);
  const [document] = PROTOCOLS;
  if (!document) throw new Error("there is no protocol");
  const later = {
    ...document,
    version: 9,
    rules: [...document.rules, { rule: "moon-phase", severity: "advised" as const, limit: {}, unit: "ratio" }],
    figures: [...document.figures, "tide"],
  };
  expect(unknownParts(later)).toEqual([
    { pointer: "/protocolVersion", message: expect.stringMatching(/version 9 .*\(rule moon-phase, figure tide\)/) },
  ]);
});
