import { expect, it } from "@jest/globals";
import { KeptBodies } from "./kept-bodies.js";

const body = (kibibytes: number) => ({ body: "x".repeat(kibibytes * 1024), contentType: "text/plain" });

it("keeps what was asked for last within eight mebibytes, and nothing that is large by itself", () => {
  const bodies = new KeptBodies();
  for (let n = 0; n < 40; n++) {
    bodies.keep(`${n}`, body(400));
    expect(bodies.get("0")).toBeDefined();
  }
  const kept = Array.from({ length: 40 }, (_, n) => n).filter((n) => bodies.get(`${n}`));
  expect(kept).toEqual([0, ...Array.from({ length: 19 }, (_, n) => 21 + n)]);
  bodies.keep("large", body(513));
  expect(bodies.get("large")).toBeUndefined();
});
