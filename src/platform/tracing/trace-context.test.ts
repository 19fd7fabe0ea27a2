import { describe, expect, it } from "@jest/globals";
import { readTraceparent, traceparentOf } from "./trace-context.js";

// The examples of W3C Trace Context (3.2.3), and what its text refuses (3.2.2).
const ID = "4bf92f3577b34da6a3ce929d0e0e4736";
const SPAN = "00f067aa0ba902b7";

describe("a traceparent", () => {
  it.each([
    [`00-${ID}-${SPAN}-01`, true],
    [`00-${ID}-${SPAN}-00`, false],
    [`cc-${ID}-${SPAN}-01-what-the-future-will-be-like`, true],
  ])("%s is read", (text, isSampled) => {
    const context = { traceId: ID, spanId: SPAN, isSampled };
    expect(readTraceparent(text)).toEqual(context);
    expect(readTraceparent(traceparentOf(context))).toEqual(context);
  });

  it.each([
    [`ff-${ID}-${SPAN}-01`],
    [`00-${ID}-${SPAN}-01-more`],
    [`00-${"0".repeat(32)}-${SPAN}-01`],
    [`00-${ID}-${"0".repeat(16)}-01`],
    [`00-${ID.toUpperCase()}-${SPAN}-01`],
    [`00-${ID}-${SPAN}`],
    [undefined],
  ])("%s is none", (text) => {
    expect(readTraceparent(text)).toBeNull();
  });
});
