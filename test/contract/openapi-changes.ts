import { METHODS } from "../../src/platform/http/open-api/operation.js";
import type { OpenApi } from "../support/contract/contract.js";
import { schemaChanges } from "./schema-changes.js";

type Members = Readonly<Record<string, unknown>>;

interface Parameter extends Members {
  readonly name: string;
  readonly in: string;
  readonly required?: boolean;
  readonly schema?: Members;
}

interface Described extends Members {
  readonly operationId: string;
  readonly parameters?: readonly Parameter[];
  readonly requestBody?: { readonly content: Readonly<Record<string, { readonly schema?: Members }>> };
  readonly responses: Readonly<
    Record<string, { readonly content?: Readonly<Record<string, { readonly schema?: Members }>> }>
  >;
  readonly security?: readonly Members[];
}

/**
 * What a client of one description of the REST API can lose with the next, by operation: an operation or its name, a
 * parameter, a member, a value, a media type or a success status that went; what is now required, or is of another type.
 */
export function breakingOpenApiChanges(before: OpenApi, after: OpenApi): string[] {
  return Object.entries(before.paths).flatMap(([path, item]) =>
    METHODS.flatMap((method) => {
      const old = item[method] as unknown as Described | undefined;
      if (!old) return [];
      const now = after.paths[path]?.[method] as unknown as Described | undefined;
      if (!now) return [`${old.operationId}: removed`];
      const changes = [
        ...(now.operationId === old.operationId ? [] : [`is called ${now.operationId}`]),
        ...(isOpen(old) && !isOpen(now) ? ["needs a session"] : []),
        ...parameterChanges(old, now, before, after),
        ...bodyChanges(old, now, before, after),
        ...responseChanges(old, now, before, after),
      ];
      return changes.map((change) => `${old.operationId}: ${change}`);
    }),
  );
}

function isOpen({ security = [] }: Described): boolean {
  return security.length === 0 || security.some((one) => Object.keys(one).length === 0);
}

function parameterChanges(old: Described, now: Described, before: OpenApi, after: OpenApi): string[] {
  const known = new Map((old.parameters ?? []).map((one) => [`${one.in} ${one.name}`, one]));
  const kept = new Map((now.parameters ?? []).map((one) => [`${one.in} ${one.name}`, one]));
  const lost = [...known].flatMap(([name, parameter]) => {
    const same = kept.get(name);
    if (!same) return [`parameter ${name} removed`];
    const required = same.required && !parameter.required ? [`parameter ${name} required`] : [];
    const changes = schemaChanges("request", parameter.schema, same.schema, before, after, `parameter ${name}`);
    return [...required, ...changes];
  });
  const demanded = [...kept].filter(([name, { required }]) => required && !known.has(name));
  return [...lost, ...demanded.map(([name]) => `parameter ${name} required`)];
}

function bodyChanges(old: Described, now: Described, before: OpenApi, after: OpenApi): string[] {
  const sent = Object.entries(old.requestBody?.content ?? {});
  if (sent.length === 0 && now.requestBody) return ["body required"];
  return sent.flatMap(([type, { schema }]) => {
    const same = now.requestBody?.content[type];
    return same ? schemaChanges("request", schema, same.schema, before, after, "body") : [`body ${type} removed`];
  });
}

function responseChanges(old: Described, now: Described, before: OpenApi, after: OpenApi): string[] {
  const successes = Object.entries(old.responses).filter(([status]) => status.startsWith("2"));
  return successes.flatMap(([status, { content = {} }]) => {
    const same = now.responses[status];
    if (!same) return [`status ${status} removed`];
    return Object.entries(content).flatMap(([type, { schema }]) => {
      const kept = same.content?.[type];
      if (!kept) return [`${status} ${type} removed`];
      return schemaChanges("response", schema, kept.schema, before, after, String(status));
    });
  });
}
