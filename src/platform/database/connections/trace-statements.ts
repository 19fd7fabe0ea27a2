import type { PoolClient } from "pg";
import { tracer } from "../../tracing/tracer.js";

/** Longest text of a statement that is told, characters. */
const MAX_TEXT = 2_000;

/**
 * Makes each statement of a connection a span of the request or job that it is for; what is for neither makes none. Values are not told, only
 * their places. (OpenTelemetry: database client spans.)
 */
export function traceStatements(client: PoolClient): void {
  const tracing = tracer();
  if (!tracing) return;
  const query = client.query.bind(client) as (...parts: unknown[]) => unknown;
  client.query = ((...parts: unknown[]) => {
    const text = textOf(parts[0]);
    if (text === null || !tracing.context || typeof parts.at(-1) === "function") return query(...parts);
    const operation = /^\s*(\w+)/.exec(text)?.[1]?.toUpperCase() ?? "statement";
    const attributes = {
      "db.system.name": "postgresql",
      "db.operation.name": operation,
      "db.query.text": text.slice(0, MAX_TEXT),
    };
    return tracing.span(operation, { kind: "client", attributes }, () => query(...parts) as Promise<unknown>);
  }) as typeof client.query;
}

/** Null of what is no statement by itself, such as a copy that streams. */
function textOf(statement: unknown): string | null {
  if (typeof statement === "string") return statement;
  if (typeof statement !== "object" || statement === null || "submit" in statement) return null;
  return "text" in statement && typeof statement.text === "string" ? statement.text : null;
}
