import { evaluate } from "../../src/core/evaluate.js";
import { blockingRules } from "../../src/core/protocol/conformance.js";
import { newestProtocol, withoutTranslations } from "../support/protocols.js";
import { honestCourse } from "./honest-course.js";
import type { OddKind } from "./kinds.js";

/** A pack that gets too hot, or has no probe in the log, is no fault of how it was logged. */
const OF_THE_PACK = ["temperature-limit"];

const protocol = withoutTranslations(newestProtocol("full-load"));

/** How far each figure lies from the truth, in u, and what the result says of the log. */
export async function judged(kind: OddKind, seed: number) {
  const course = honestCourse(seed, kind.needs);
  const { evaluation } = await evaluate([Buffer.from(`${kind.lines(course).join("\n")}\n`)], course.facts, protocol);
  const { figures, findings, adjustments } = evaluation;
  const deviations = figures.flatMap(({ key, value, uncertainty, bound }) => {
    const truth = course.truth[key];
    return truth === undefined || bound !== "none" ? [] : [Math.abs(value - truth) / uncertainty];
  });
  const allowed = [...OF_THE_PACK, ...(kind.fails ?? [])];
  const blocking = blockingRules(findings, protocol.rules);
  return {
    deviations,
    blocking: blocking.filter((rule) => !allowed.includes(rule)),
    findings,
    reported: adjustments.map((made) => made.kind),
  };
}
