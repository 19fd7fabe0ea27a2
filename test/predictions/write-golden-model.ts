import { writeFileSync } from "node:fs";
import { fitAndValidate } from "../../src/core/use/validate.js";
import { GOLDEN_FILE, goldenOf } from "./golden-model.js";
import { simulateRecord, THREE_TESTERS } from "./pooled-pack.js";

/** Writes the golden numbers of a new `USE_MODEL_VERSION`: `npm run golden:model`. Those of a version that has them are never written again. */
const { facts, runs } = simulateRecord("B", "lipo", "p2", THREE_TESTERS);
writeFileSync(GOLDEN_FILE, `${JSON.stringify(goldenOf(fitAndValidate(facts, runs)), null, 1)}\n`, { flag: "wx" });
