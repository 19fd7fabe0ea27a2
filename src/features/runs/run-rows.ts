import { KEY_FIGURES } from "../../core/figures/catalogue.js";
import type { Prisma } from "../../generated/prisma/client.js";
import { withBudgets } from "../../platform/database/rows/figure-rows.js";
import { withOthers } from "../../platform/database/rows/finding-rows.js";
import type { EvaluationParts, WantedParts } from "./evaluation/evaluation-parts.repository.js";

interface WithSummary {
  readonly specimen: { readonly include: { readonly pack: true } };
  readonly bench: true;
  readonly tester: { readonly select: { readonly id: true; readonly handle: true } };
  readonly log: { readonly select: { readonly sha256: true; readonly bytes: true; readonly removal: true } };
  readonly currentEvaluation: true;
}

/** A run with one row of each thing that it belongs to. */
type RunSummary = Prisma.RunGetPayload<{ include: WithSummary }>;
type EvaluationRow = NonNullable<RunSummary["currentEvaluation"]> & EvaluationParts;

/** A run with what its view shows. */
export type RunRow = Omit<RunSummary, "currentEvaluation"> & { readonly currentEvaluation: EvaluationRow | null };

/** A run with all that its view shows: each table's rows as JSON, which keeps every digit. Parameters from the second on: see `parametersOf`. */
const SELECT_RUN = `
  SELECT to_json(run) AS run, to_json(specimen) AS specimen, to_json(pack) AS pack, to_json(bench) AS bench,
    account.handle AS tester, to_json(log) AS log, to_json(log_removal) AS removal, to_json(evaluation) AS evaluation,
    CASE WHEN $2 THEN (
      SELECT json_agg(json_build_object('evaluationId', evaluation_id, 'key', key, 'basis', basis, 'load', load, 'value', value,
        'unit', unit, 'uncertainty', uncertainty, 'ownUncertainty', own_uncertainty, 'kineticsUncertainty', kinetics_uncertainty,
        'resistanceUncertainty', resistance_uncertainty, 'formUncertainty', form_uncertainty, 'bound', bound, 'budget', budget))
      FROM figure WHERE evaluation_id = evaluation.id
    ) END AS figures,
    CASE WHEN $2 THEN (
      SELECT json_build_object('encoding', encoding, 'data', encode(data, 'hex')) FROM figure_budget WHERE evaluation_id = evaluation.id
    ) END AS budgets,
    CASE WHEN $3 THEN (
      SELECT json_agg(json_build_object('evaluationId', evaluation_id, 'position', "position", 'rule', rule, 'severity', severity,
        'outcome', outcome, 'observed', observed, 'limit', "limit", 'unit', unit, 'message', message,
        'spanFromS', span_from_s, 'spanToS', span_to_s) ORDER BY "position")
      FROM finding WHERE evaluation_id = evaluation.id
    ) END AS findings,
    CASE WHEN $3 THEN (
      SELECT json_build_object('encoding', encoding, 'data', encode(data, 'hex')) FROM other_findings WHERE evaluation_id = evaluation.id
    ) END AS "otherFindings",
    CASE WHEN $4 THEN (
      SELECT json_agg(json_build_object('evaluationId', evaluation_id, 'position', "position", 'kind', kind, 'message', message,
        'before', before, 'after', after, 'unit', unit) ORDER BY "position")
      FROM adjustment WHERE evaluation_id = evaluation.id
    ) END AS adjustments,
    CASE WHEN $5 THEN (
      SELECT json_agg(json_build_object('evaluationId', evaluation_id, 'key', key, 'value', value, 'unit', unit,
        'uncertainty', uncertainty, 'bound', bound))
      FROM figure WHERE evaluation_id = evaluation.id AND key = ANY ($6::text[]) AND basis <> 'translated'
    ) END AS "keyFigures"
  FROM run
  JOIN specimen ON specimen.id = run.specimen_id
  JOIN pack ON pack.id = specimen.pack_id
  JOIN bench ON bench.id = run.bench_id
  JOIN account ON account.id = run.tester_id
  JOIN log ON log.sha256 = run.log_sha256
  LEFT JOIN log_removal ON log_removal.sha256 = log.sha256
  LEFT JOIN evaluation ON evaluation.id = run.current_evaluation_id`;

/** Runs with all that their views show, in one statement; the first parameter is a list of ids. */
export const RUN_ROWS = `${SELECT_RUN} WHERE run.id = ANY ($1::uuid[])`;

/**
 * The same for one run; the first parameter is its id. Of a list the database takes ten to be in it, and plans for the one that is there at every
 * read, which costs more than the read; of an id it keeps its plan.
 */
export const RUN_ROW = `${SELECT_RUN} WHERE run.id = $1::uuid`;

/** A row as the database writes it as JSON: by its columns. */
export type Json = Readonly<Record<string, unknown>>;

/** Bytes as hexadecimal text. */
interface HexadecimalData {
  readonly encoding: string;
  readonly data: string;
}

export interface RunJson {
  readonly run: Json & { readonly review_state: string };
  readonly specimen: Json;
  readonly pack: Json;
  readonly bench: Json;
  readonly tester: string;
  readonly log: Json & { readonly bytes: number };
  readonly removal: Json | null;
  readonly evaluation: Json | null;
  readonly figures: EvaluationParts["figures"] | null;
  readonly budgets: HexadecimalData | null;
  readonly findings: EvaluationParts["findings"] | null;
  readonly otherFindings: HexadecimalData | null;
  readonly adjustments: EvaluationParts["adjustments"] | null;
  readonly keyFigures: EvaluationParts["keyFigures"] | null;
}

/** An id or several, whether figures, findings, adjustments and key figures are wanted, and the keys of the latter. */
export function parametersOf(ids: string | readonly string[], wanted: WantedParts): unknown[] {
  return [ids, wanted.figures, wanted.findings, wanted.adjustments, wanted.keyFigures, KEY_FIGURES];
}

/** The row of a run that the statement gave, as the client's own reads name and type its members. */
export function runRow(found: RunJson): RunRow {
  const { run, specimen, pack, bench, tester, log, removal, evaluation } = found;
  const { figures, budgets, findings, otherFindings, adjustments, keyFigures } = found;
  const row = {
    ...rowOf(run),
    review: run.review_state,
    specimen: { ...rowOf(specimen), pack: rowOf(pack) },
    bench: rowOf(bench),
    tester: { id: run.tester_id, handle: tester },
    log: { ...rowOf(log), bytes: BigInt(log.bytes), removal: removal && rowOf(removal) },
    currentEvaluation: evaluation && {
      ...rowOf(evaluation),
      figures: withBudgets(figures ?? [], bytesOf(budgets)),
      findings: withOthers(String(evaluation.id), findings ?? [], bytesOf(otherFindings)),
      adjustments: adjustments ?? [],
      keyFigures: keyFigures ?? [],
    },
  };
  return row as unknown as RunRow;
}

const bytesOf = (stored: HexadecimalData | null) => stored && { ...stored, data: Buffer.from(stored.data, "hex") };

/** The row with its members named and typed as the client's own reads do. Columns are named as members are, in snake case; instants end in `_at`, bytes in `sha256`. */
export function rowOf(json: Json): Json {
  return Object.fromEntries(
    Object.entries(json).map(([column, value]) => [
      column.replace(/_([a-z])/g, (_, letter: string) => letter.toUpperCase()),
      memberOf(column, value),
    ]),
  );
}

function memberOf(column: string, value: unknown): unknown {
  if (typeof value !== "string") return value;
  if (column.endsWith("_at")) return new Date(value);
  return column.endsWith("sha256") ? Buffer.from(value.slice("\\x".length), "hex") : value;
}
