import { createReadStream, readFileSync } from "node:fs";
import { evaluate } from "../src/core/evaluate.js";
import { describedRun } from "../src/core/inputs/described-run.js";

/** The least that a check of one log can cost: Node imports core and evaluates the log. */
const [, , log = "", runFile = ""] = process.argv;
const run = describedRun(JSON.parse(readFileSync(runFile, "utf8")) as object);
if ("errors" in run) throw new Error(JSON.stringify(run.errors));
const { evaluation } = await evaluate(createReadStream(log), run.facts, run.protocol);
console.log(evaluation.verdict);
