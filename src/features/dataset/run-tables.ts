import type { FindingColumns } from "../../core/protocol/stored-findings.js";
import { withOthers } from "../../platform/database/rows/finding-rows.js";
import { type DatasetTable, fieldsOf, type Row } from "./table.js";

const OF_RUN = { changedBy: "run", subject: "run" } as const;
const ACCEPTED = "subject.review_state = 'accepted' AND <month>";

/** Each run with its findings, which are stored in two places. */
const FINDINGS_OF_RUNS = `
  SELECT subject.id::text AS "runId", subject.current_evaluation_id::text AS "evaluationId", others.encoding, others.data,
    (SELECT json_agg(json_build_object('evaluationId', evaluation_id, 'position', "position", 'rule', rule, 'severity', severity,
        'outcome', outcome, 'observed', observed, 'limit', "limit", 'unit', unit, 'message', message,
        'spanFromS', span_from_s, 'spanToS', span_to_s) ORDER BY "position", rule COLLATE "C")
      FROM finding WHERE evaluation_id = subject.current_evaluation_id) AS findings
  FROM run AS subject LEFT JOIN other_findings AS others ON others.evaluation_id = subject.current_evaluation_id
  WHERE ${ACCEPTED} ORDER BY subject.id`;

interface RunWithFindings {
  readonly runId: string;
  readonly evaluationId: string;
  readonly encoding: string | null;
  readonly data: Uint8Array | null;
  readonly findings: (FindingColumns & { readonly evaluationId: string })[] | null;
}

function findingsOf({ runId, evaluationId, encoding, data, findings }: RunWithFindings): Row[] {
  const others = encoding !== null && data ? { encoding, data } : null;
  return withOthers(evaluationId, findings ?? [], others).map((one) => ({
    run_id: runId,
    rule: one.rule,
    severity: one.severity,
    outcome: one.outcome,
    observed: one.observed,
    limit: one.limit,
    unit: one.unit,
    message: one.message,
    span_from_s: one.spanFromS,
    span_to_s: one.spanToS,
  }));
}

/** What is kept of each accepted run. */
export const RUN_TABLES: readonly DatasetTable[] = [
  {
    ...OF_RUN,
    kind: "runs",
    title: "Accepted runs with their conditions and verdicts",
    fields: fieldsOf(`
      id string: Names the run wherever it is shown
      pack_id string: Which pack
      specimen_id string: Which single one of that product
      bench_id string: Equipment that it was measured with
      tester_id string: Who uploaded it
      protocol string: Key of the protocol
      protocol_version integer: Version that it is judged by
      computation_version integer: Version of the computation
      verdict string: What the rules say
      started_at datetime: When the test began
      uploaded_at datetime: When it was uploaded
      ambient_c number: Temperature of the air, degC
      rest_minutes number: Rest after the charge, min
      cycles integer: Age of the specimen, full cycles
      setpoint_a number: Current that the load was set to, A`),
    primaryKey: ["id"],
    rows: `SELECT subject.id::text, subject.pack_id::text, specimen_id::text, bench_id::text, tester_id::text, subject.protocol_key AS protocol,
        evaluation.protocol_version, evaluation.computation_version, evaluation.verdict, started_at, subject.created_at AS uploaded_at,
        ambient_c, rest_minutes, cycles, setpoint_a
      FROM run AS subject JOIN evaluation ON evaluation.id = subject.current_evaluation_id
      WHERE ${ACCEPTED} ORDER BY subject.id`,
  },
  {
    ...OF_RUN,
    kind: "figures",
    title: "Figures of accepted runs",
    fields: fieldsOf(`
      run_id string: Which run
      key string: Which figure of the catalogue
      basis string: measured, corrected or translated
      load_a number: Standard load, A; empty under the run's own load
      value number: What the pack delivered, in unit
      unit string: Unit of the value
      uncertainty number: Standard uncertainty u, in unit
      bound string: none, or whether the value is a lower or an upper bound`),
    primaryKey: null,
    rows: `SELECT subject.id::text AS run_id, figure.key, figure.basis, nullif(figure.load, 0) AS load_a, figure.value, figure.unit,
        figure.uncertainty, figure.bound
      FROM run AS subject JOIN figure ON figure.evaluation_id = subject.current_evaluation_id
      WHERE ${ACCEPTED} ORDER BY subject.id, figure.key COLLATE "C", figure.basis COLLATE "C", figure.load`,
  },
  {
    ...OF_RUN,
    kind: "findings",
    title: "What the rules of the protocol found of accepted runs",
    fields: fieldsOf(`
      run_id string: Which run
      rule string: Which rule
      severity string: required, corrected or advised
      outcome string: pass, fail or not-assessable
      observed number: What was observed, in unit
      limit string: What the rule asks for
      unit string: Unit of what was observed
      message string: The finding in a sentence
      span_from_s number: Where in the trace it begins, s from onset
      span_to_s number: Where it ends, s from onset`),
    primaryKey: ["run_id", "rule"],
    rows: FINDINGS_OF_RUNS,
    rowsOf: (run) => findingsOf(run as unknown as RunWithFindings),
  },
  {
    ...OF_RUN,
    kind: "traces",
    title: "Traces of accepted runs: what they are; their samples are at /v1/runs/{id}/trace",
    fields: fieldsOf(`
      run_id string: Which run
      samples integer: Samples of the trace
      rate_hz number: Sampling rate, Hz
      duration_s number: Time under load, s
      cutoff_s number: When the cutoff was reached, s from onset
      stop string: Why the run ended`),
    primaryKey: ["run_id"],
    rows: `SELECT subject.id::text AS run_id, samples, rate_hz, duration_s, cutoff_s, stop
      FROM run AS subject JOIN evaluation ON evaluation.id = subject.current_evaluation_id
      WHERE ${ACCEPTED} ORDER BY subject.id`,
  },
  {
    ...OF_RUN,
    kind: "logs",
    title: "Logs of accepted runs: their digests; their bytes are at /v1/runs/{id}/log",
    fields: fieldsOf(`
      run_id string: Which run
      sha256 string: Of the bytes as uploaded, which are at /v1/runs/{id}/log; hexadecimal
      bytes number: Size as uploaded, bytes
      rows integer: Rows of its table`),
    primaryKey: ["run_id"],
    rows: `SELECT subject.id::text AS run_id, encode(subject.log_sha256, 'hex') AS sha256, log.bytes::float8 AS bytes, evaluation.rows
      FROM run AS subject JOIN log ON log.sha256 = subject.log_sha256
      JOIN evaluation ON evaluation.id = subject.current_evaluation_id
      WHERE ${ACCEPTED} ORDER BY subject.id`,
  },
];
