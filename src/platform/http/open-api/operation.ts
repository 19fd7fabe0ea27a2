import type { OpenAPIObject } from "@nestjs/swagger";

export const METHODS = ["get", "post", "put", "patch", "delete"] as const;
export type Method = (typeof METHODS)[number];

export interface Parameter {
  readonly name: string;
  readonly in: string;
  description?: string;
  example?: unknown;
  style?: string;
  explode?: boolean;
  readonly required?: boolean;
  readonly schema?: { type?: unknown; nullable?: boolean };
  [extension: `x-${string}`]: unknown;
}

interface MediaType {
  schema?: object;
  example?: unknown;
  encoding?: object;
}

export interface Response {
  description: string;
  headers?: Record<string, object>;
  content?: Record<string, MediaType>;
}

/** What is told of one method of a path. */
export interface Operation {
  operationId: string;
  summary?: string;
  description?: string;
  parameters?: Parameter[];
  requestBody?: { content: Record<string, MediaType> };
  responses: Record<string, Response | { $ref: string; description?: string }>;
  security?: Record<string, string[]>[];
  tags?: string[];
  deprecated?: boolean;
  [extension: `x-${string}`]: unknown;
}

/** Every operation of a description, to be read or completed. */
export function operationsOf(document: OpenAPIObject): { path: string; method: Method; operation: Operation }[] {
  return Object.entries(document.paths).flatMap(([path, item]) =>
    METHODS.flatMap((method) => {
      const operation = item[method] as unknown as Operation | undefined;
      return operation ? [{ path, method, operation }] : [];
    }),
  );
}
