import type { PackValueView } from "../../src/features/changes/changes.views.js";
import type { PackView } from "../../src/features/packs/packs.views.js";
import type { RunView } from "../../src/features/runs/runs.views.js";
import type { TesterRecordView } from "../../src/features/testers/testers.views.js";
import type { readPublicRecord } from "./public-record.js";

type Row = Readonly<Record<string, unknown>>;
type Kind = keyof typeof TABLES_OF;
/** Rows of each table by what they are about. */
export type Tables = Map<string, Map<string, Row[]>>;

/** The tables with rows about a thing of each kind. */
export const TABLES_OF = {
  pack: ["packs"],
  tester: ["testers"],
  run: ["runs", "figures", "findings", "traces", "logs"],
  standings: ["standings"],
} as const;

const nothing = (text: string) => (text === "" ? null : text);

/** What the dataset has of one thing, from what the API shows of it. */
function rowsOf(kind: Kind, id: string, body: unknown): Readonly<Record<string, Row[]>> {
  if (kind === "pack") return { packs: [packRow(body as PackView)] };
  if (kind === "tester") return { testers: [testerRow(body as TesterRecordView)] };
  if (kind === "run") return runRows(body as RunView);
  return { standings: (body as PackValueView[]).map((value) => standingRow(id, value)) };
}

function packRow(pack: PackView): Row {
  const { id, maker, name, chemistry, series, parallel, connector, status } = pack;
  return {
    ...{ id, maker, name, chemistry, series, parallel, connector: connector ?? null, status },
    rated_capacity_mah: pack.ratedCapacityMah,
    label_continuous_c: pack.labelContinuousC,
    label_burst_c: pack.labelBurstC,
    mass_grams: pack.massGrams,
    lead_gauge_awg: pack.leadGaugeAwg ?? null,
    lead_area_mm2: pack.leadAreaMm2 ?? null,
  };
}

function testerRow({ id, handle, since, runs, vouchedAt, establishedSince }: TesterRecordView): Row {
  return { id, handle, since, runs, vouched_at: vouchedAt, established_since: establishedSince };
}

function runRows(run: RunView): Readonly<Record<string, Row[]>> {
  const { id: run_id, pack, specimen, bench, tester, protocol, log, trace } = run;
  const head = {
    ...{ id: run_id, pack_id: pack.id, specimen_id: specimen.id, bench_id: bench.id, tester_id: tester.id },
    ...{ protocol: protocol.key, protocol_version: protocol.version, computation_version: run.computationVersion },
    ...{ verdict: run.verdict, started_at: run.startedAt, uploaded_at: run.uploadedAt, ambient_c: run.ambientC },
    ...{ rest_minutes: run.restMinutes, cycles: run.cycles, setpoint_a: run.setpointA },
  };
  const figures = run.figures.map(({ key, basis, load, value, unit, uncertainty, bound }) => {
    return { run_id, key, basis, load_a: load, value, unit, uncertainty, bound };
  });
  const findings = (run.conformance?.findings ?? []).map(({ limit, unit, span, ...finding }) => {
    const reach = { span_from_s: span?.fromS ?? null, span_to_s: span?.toS ?? null };
    return { run_id, ...finding, limit: nothing(limit), unit: nothing(unit), ...reach };
  });
  const traces = trace
    ? [
        {
          ...{ run_id, samples: trace.samples, rate_hz: trace.rateHz, duration_s: trace.durationS },
          ...{ cutoff_s: trace.cutoffS, stop: trace.stop },
        },
      ]
    : [];
  const logs = [{ run_id, sha256: log.sha256, bytes: log.bytes, rows: log.rows }];
  return { runs: [head], figures, findings, traces, logs };
}

function standingRow(pack_id: string, standing: PackValueView): Row {
  const { protocol, figure, load, basis, value, unit, uncertainty, testers, runs, established } = standing;
  return {
    ...{ pack_id, protocol, figure, load_a: load, basis, value, unit, uncertainty, testers, runs, established },
    protocol_version: standing.protocolVersion,
    computation_version: standing.computationVersion,
    degrees_of_freedom: standing.degreesOfFreedom,
    own_load_value: standing.ownLoadValue,
  };
}

/** Puts one thing's rows in the place of those that were there; none where it is gone. */
export function put(tables: Tables, kind: Kind, id: string, body: unknown): void {
  const rows = body === null ? {} : rowsOf(kind, id, body);
  for (const table of TABLES_OF[kind]) {
    const ofTable = tables.get(table) ?? new Map<string, Row[]>();
    tables.set(table, ofTable);
    const some = rows[table] ?? [];
    if (some.length > 0) ofTable.set(id, some);
    else ofTable.delete(id);
  }
}

/** The dataset's tables as they follow from the API's other reads. */
export function tablesOf(record: Awaited<ReturnType<typeof readPublicRecord>>): Tables {
  const tables: Tables = new Map();
  for (const kind of Object.keys(TABLES_OF) as Kind[]) {
    for (const table of TABLES_OF[kind]) tables.set(table, new Map());
    for (const [id, body] of record[kind]) put(tables, kind, id, body);
  }
  return tables;
}

/** What the API's lists of standings do not show; what it shows of a single one does. */
const UNSEEN: Readonly<Record<string, readonly string[]>> = {
  standings: ["disputed", "computed_value", "testers_beside", "held"],
};

/** Rows by table, without an order of rows and members. */
export function comparable(tables: Tables): Record<string, string[]> {
  const written = (table: string, row: Row) => {
    const members = Object.entries(row).filter(([name]) => !UNSEEN[table]?.includes(name));
    return JSON.stringify(Object.fromEntries(members.sort(([a], [b]) => (a < b ? -1 : 1))));
  };
  return Object.fromEntries(
    [...tables].map(([table, byId]) => [
      table,
      [...byId.values()].flatMap((rows) => rows.map((row) => written(table, row))).sort(),
    ]),
  );
}
