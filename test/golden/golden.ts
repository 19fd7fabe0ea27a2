import { COMPUTATION_VERSION, type Evaluation } from "../../src/core/model.js";
import { evaluatedDemo } from "./evaluated-demo.js";

/** Which rows begin a file of golden results; a change of the computation that alters any of them raises its version. */
const header = [
  `computation ${COMPUTATION_VERSION}`,
  "run,what,key,side or outcome,bound,value,standard uncertainty,unit,standard load,own,kinetics,resistance,form",
];

/** Every figure and finding of every run of the demo under the newest protocols, one a row, with all digits of its numbers. */
export async function goldenText(): Promise<string> {
  const rows: string[] = [...header];
  for (const [{ key }, { evaluation }] of await evaluatedDemo()) rows.push(...rowsOf(key, evaluation));
  return `${rows.join("\n")}\n`;
}

function rowsOf(run: string, { figures, findings, adjustments, verdict }: Evaluation): string[] {
  return [
    [run, "verdict", verdict],
    ...adjustments.map(({ kind, before, after, unit }) => [run, "adjustment", kind, "", "", before, after, unit]),
    ...figures.map(({ key, basis, bound, value, uncertainty, unit, load, shared }) => [
      run,
      "figure",
      key,
      basis,
      bound,
      value,
      uncertainty,
      unit,
      ...(shared === null ? [] : [load, shared.own, shared.kinetics, shared.resistance, shared.form]),
    ]),
    ...findings.map(({ rule, outcome, observed, unit }) => [run, "finding", rule, outcome, "", observed, "", unit]),
  ].map((cells) => cells.join(","));
}
