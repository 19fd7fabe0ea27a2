import { readFileSync } from "node:fs";
import { join } from "node:path";
import { projectRoot } from "../../config/project-root.js";
import type { Operation } from "./operation.js";

/** Recorded bodies of one operation: of its request, and of its answers by status and media type. */
interface RecordedBodies {
  readonly request?: unknown;
  readonly responses: Readonly<Record<string, Readonly<Record<string, unknown>>>>;
}

/** What a recorded use of the service sent and was answered, by operation id (`npm run examples`). */
const RECORDED = JSON.parse(readFileSync(join(projectRoot, "contracts", "examples.json"), "utf8")) as Readonly<
  Record<string, RecordedBodies>
>;

/** Shows with every body of an operation the one that was recorded. */
export function addExamples(operation: Operation): void {
  const recorded = RECORDED[operation.operationId];
  if (!recorded) return;
  for (const body of Object.values(operation.requestBody?.content ?? {})) body.example = recorded.request;
  for (const [status, byType] of Object.entries(recorded.responses)) {
    const response = operation.responses[status];
    if (!response || "$ref" in response) continue;
    for (const [type, body] of Object.entries(response.content ?? {})) body.example = byType[type];
  }
}
