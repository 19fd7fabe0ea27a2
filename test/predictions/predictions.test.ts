import { expect, it } from "@jest/globals";
import { CHEMISTRIES } from "../../src/core/model.js";
import { goalsOf } from "./goals.js";
import { judgePack } from "./judge-pack.js";
import { THREE_TESTERS } from "./pooled-pack.js";

// `npm run test:predictions` judges more packs of all three populations.
it("predicts packs of another form than the model's within the goals that are published", () => {
  const judged = CHEMISTRIES.flatMap((chemistry) => judgePack("B", chemistry, "p0", THREE_TESTERS));
  for (const chemistry of CHEMISTRIES) expect(judged.some((one) => one.chemistry === chemistry)).toBe(true);
  expect(goalsOf(judged).filter(({ isMet }) => !isMet)).toEqual([]);
});
