import { expect, it } from "@jest/globals";
import { isUuid, newId } from "./uuid.js";

// RFC 9562, appendix A.6: of 22 February 2022, 2:22:22 p.m. GMT-05:00, the example is 017F22E2-79B0-7CC3-98C4-DC0C0C07398F.
it("makes ids of version 7, of the time and of chance", () => {
  const { now } = Date;
  Date.now = () => Date.parse("2022-02-22T14:22:22-05:00");
  try {
    const ids = Array.from({ length: 100 }, newId);
    for (const id of ids) {
      expect(isUuid(id)).toBe(true);
      expect(id).toMatch(/^017f22e2-79b0-7.{3}-[89ab]/);
    }
    expect(new Set(ids).size).toBe(100);
  } finally {
    Date.now = now;
  }
});
