import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { evaluate } from "../../../../src/core/evaluate.js";
import type { Finding, Verdict } from "../../../../src/core/model.js";
import { blocks } from "../../../../src/core/protocol/conformance.js";
import { PROTOCOLS } from "../../../../src/core/protocol/index.js";

/** What one file of the corpus was told. */
export interface Told {
  readonly name: string;
  readonly shows: string;
  /** Key and version. */
  readonly protocol: string;
  readonly verdict: Verdict;
  /** Findings that failed, whatever their severity, and required ones that could not be assessed. */
  readonly failed: readonly Finding[];
}

/** Evaluates a file with its declaration, as an upload is evaluated. */
export async function judged(folder: string, name: string): Promise<Told> {
  const { shows, protocol, ...facts } = JSON.parse(readFileSync(join(folder, `${name}.json`), "utf8"));
  const document = PROTOCOLS.find(({ key, version }) => key === protocol.key && version === protocol.version);
  if (!document) throw new Error(`${name} names no protocol`);
  const { evaluation } = await evaluate([readFileSync(join(folder, `${name}.csv`))], facts, document);
  const failed = evaluation.findings.filter((finding, i) => {
    const setting = document.rules[i];
    return finding.outcome === "fail" || (setting && blocks(finding, setting));
  });
  return { name, shows, protocol: `${protocol.key} ${protocol.version}`, verdict: evaluation.verdict, failed };
}

/** Names of the logs, without their endings. */
export const namesIn = (folder: string): string[] =>
  readdirSync(folder)
    .filter((name) => name.endsWith(".csv"))
    .map((name) => name.replace(/\.csv$/, ""))
    .sort();
