import type { OperationExamples } from "./recorder.js";

const MAX_OBJECTS = 1;
const MAX_VALUES = 4;
const MAX_LINES = 4;
const UUID = /[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}/g;
/** Members of an answer that hold a list whose length a schema fixes. */
const WHOLE: ReadonlySet<string> = new Set(["placeRange"]);
/** Secrets and proofs, which no example gives away. */
const SECRETS: ReadonlySet<string> = new Set(["token", "key", "code", "verifier", "secret"]);
/** 32 bytes in base64url or base64, after what says whose they are. */
const SECRET = /[\w+/-]{43}=?$/;
const ERASED = /erased-[0-9a-f]{12}/g;
const SHA256 = /sha256:[0-9a-f]{64}/g;
const CURSOR_IN_URL = /after=[\w-]+/g;
/** In place of the time at which something was noted. */
const NOTED_AT = "2026-06-01T12:00:00.000Z";
const ISSUER = /http:\/\/(?:127\.0\.0\.1|localhost):\d+/g;

/** Examples that are short, and the same each time that they are recorded. */
export function shorten(
  examples: Readonly<Record<string, OperationExamples>>,
  startedAt: number,
): Record<string, unknown> {
  const ids = new Map<string, string>();
  const idOf = (id: string) => {
    if (!ids.has(id)) ids.set(id, `018f5e00-0000-7000-8000-${String(ids.size + 1).padStart(12, "0")}`);
    return ids.get(id) as string;
  };
  const text = (value: string, member: string): string => {
    if (SECRETS.has(member)) return value.replace(SECRET, (one) => "x".repeat(one.length));
    if (/Cursor$/.test(member)) return cursor(value, idOf, startedAt);
    const instant = /^\d{4}-\d\d-\d\dT[\d:.]+Z$/.test(value) ? Date.parse(value) : Number.NaN;
    // What was declared lies in the past; what the service noted itself happened during the recording.
    if (instant > startedAt - 86_400_000) return NOTED_AT;
    return ofMidsummer(value)
      .replace(UUID, idOf)
      .replace(ISSUER, "https://id.example.org")
      .replace(ERASED, "erased-0123456789ab");
  };
  const [year, month, day] = new Date(startedAt).toISOString().slice(0, 10).split("-");
  // Names and paths of what is kept by days and months, and digests of what was noted during the recording.
  const ofMidsummer = (value: string) =>
    value
      .replaceAll(`${year}-${month}-${day}`, "2026-06-01")
      .replaceAll(`year=${year}/month=${month}`, "year=2026/month=06")
      .replaceAll(`-${year}-${month}`, "-2026-06")
      .replaceAll(`, ${year}-${month}`, ", 2026-06")
      .replaceAll(`(${year})`, "(2026)")
      .replace(SHA256, `sha256:${"0".repeat(64)}`)
      .replace(CURSOR_IN_URL, `after=${"x".repeat(22)}`);
  const short = (value: unknown, member: string): unknown => {
    if (typeof value === "string") return text(value, member);
    if (Array.isArray(value)) {
      const isOfObjects = value.some((item) => typeof item === "object");
      const most = WHOLE.has(member) ? value.length : isOfObjects ? MAX_OBJECTS : MAX_VALUES;
      return value.slice(0, most).map((item) => short(item, member));
    }
    if (typeof value !== "object" || value === null) return value;
    return Object.fromEntries(Object.entries(value).map(([name, one]) => [name, short(one, name)]));
  };
  const body = (type: string, value: unknown) => {
    if (type === "application/schema+json" || isSchema(value)) return heading(value as object);
    return typeof value === "string" ? linesOf(text(value, "")) : short(value, "");
  };
  const named = Object.entries(examples).sort(([a], [b]) => (a < b ? -1 : 1));
  return Object.fromEntries(
    named.map(([id, { request, responses }]) => {
      const ofStatus = Object.entries(responses).map(([status, byType]) => [
        status,
        Object.fromEntries(Object.entries(byType).map(([type, value]) => [type, body(type, value)])),
      ]);
      const sent = request === undefined ? {} : { request: short(request, "") };
      return [id, { ...sent, responses: Object.fromEntries(ofStatus) }];
    }),
  );
}

/** The same position in a list of examples; what binds it to its list is left out. */
function cursor(value: string, idOf: (id: string) => string, startedAt: number): string {
  const [, ...keys] = JSON.parse(Buffer.from(value, "base64url").toString("utf8")) as unknown[];
  const shown = keys.map((key) => {
    if (typeof key === "string") return key.replace(UUID, idOf);
    return typeof key === "number" && key >= startedAt ? Date.parse(NOTED_AT) : key;
  });
  return Buffer.from(JSON.stringify(["00000000000", ...shown])).toString("base64url");
}

/** A data package names its profile by the same member. */
const isSchema = (value: unknown): value is { $schema: string } =>
  typeof value === "object" && value !== null && String(Reflect.get(value, "$schema")).includes("json-schema.org");

/** A JSON Schema without its many members, nor the id by which a reader of the whole contract would find it twice. */
function heading(value: object): object {
  return Object.fromEntries(
    Object.entries(value).filter(([name, member]) => typeof member === "string" && name !== "$id"),
  );
}

const linesOf = (value: string) => value.split("\n").slice(0, MAX_LINES).join("\n");
