import { ApiExtension } from "@nestjs/swagger";
import { PROBLEMS, type ProblemCode } from "../../problems/catalogue.js";

/** The member of an operation that lists the codes of problems that it can answer with. */
export const PROBLEM_CODES = "x-problem-codes";

/**
 * Declares problems that an operation can answer with beyond those that follow from its method, its parameters and its
 * need of a session. A test finds an answer that is not declared.
 */
export function Refuses(...codes: readonly ProblemCode[]): MethodDecorator {
  return ApiExtension(PROBLEM_CODES, codes) as MethodDecorator;
}

/** Why a log may not be evaluated. */
export const LOG_PROBLEMS = (Object.keys(PROBLEMS) as ProblemCode[]).filter(
  (code) => code.startsWith("log-") && code !== "log-removed",
);
