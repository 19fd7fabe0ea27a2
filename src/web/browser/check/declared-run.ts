import type { ColumnMap } from "../../../core/model.js";

/** A run as a run file has it: what is declared of test, pack and bench. */
export type DeclaredRun = Readonly<Record<string, unknown>>;

/** A run file taken apart: what the form shows, how the log is read, and what a submission needs beside. */
export interface RunFile {
  readonly run: DeclaredRun;
  readonly columns: ColumnMap | null;
  readonly discharge: unknown;
  readonly startedAt: string | null;
  /** Which of one's own specimens and benches it was, by id or by label. */
  readonly specimen: string | null;
  readonly bench: string | null;
}

export function runFileOf(file: DeclaredRun): RunFile {
  const { columns = null, discharge = null, startedAt, specimen, specimenId, benchId, bench, ...rest } = file;
  return {
    run: isObject(bench) ? { ...rest, bench } : rest,
    columns: columns as ColumnMap | null,
    discharge,
    startedAt: typeof startedAt === "string" ? startedAt : null,
    specimen: text(specimenId) ?? labelOf(specimen),
    bench: text(benchId) ?? labelOf(bench),
  };
}

/** The member with this name, in which points stand between members of members. */
export const memberOf = (run: DeclaredRun, name: string): unknown =>
  name.split(".").reduce<unknown>((at, member) => (isObject(at) ? at[member] : undefined), run);

/** The run with what was entered; null takes a member away, and with its last member a group whose absence says something. */
export function withEntries(run: DeclaredRun, entries: ReadonlyMap<string, string | number | null>): DeclaredRun {
  const next = structuredClone(run) as Record<string, unknown>;
  for (const [name, value] of entries) put(next, name.split("."), value);
  return next;
}

/** Members that no field shows, each with its value as it is written. */
export function membersBeside(run: DeclaredRun, fields: ReadonlySet<string>, parent = ""): string[] {
  return Object.entries(run).flatMap(([member, value]) => {
    const name = `${parent}${member}`;
    if (fields.has(name) || value === null || value === undefined) return [];
    return isObject(value) ? membersBeside(value, fields, `${name}.`) : [`${name} ${JSON.stringify(value)}`];
  });
}

function put(into: Record<string, unknown>, [first = "", ...rest]: string[], value: string | number | null): void {
  if (rest.length === 0) {
    if (value === null) delete into[first];
    else into[first] = value;
    return;
  }
  if (!isObject(into[first])) {
    if (value === null) return;
    into[first] = {};
  }
  const group = into[first] as Record<string, unknown>;
  put(group, rest, value);
  if (Object.keys(group).length === 0) delete into[first];
}

const isObject = (value: unknown): value is Record<string, unknown> =>
  typeof value === "object" && value !== null && !Array.isArray(value);

const text = (value: unknown): string | null => (typeof value === "string" ? value : null);

const labelOf = (value: unknown): string | null => text(isObject(value) ? value.label : value);
