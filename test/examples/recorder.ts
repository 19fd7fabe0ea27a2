import { Contract } from "../support/contract/contract.js";

type Json = Readonly<Record<string, unknown>>;

/** Of one operation: a body that was sent, and the answers that came, by status and media type. */
export interface OperationExamples {
  request?: unknown;
  readonly responses: Record<string, Record<string, unknown>>;
}

export interface Sent {
  readonly method: string;
  readonly url: string;
  readonly body?: unknown;
}

export interface Got {
  readonly status: number;
  readonly type: string;
  readonly body: string;
}

/** Of the bytes of an archive or a picture nobody learns anything. */
export const isShown = (type: string) => type !== "" && type !== "application/zip" && !type.startsWith("image/");

/** Keeps the first body that was sent to each operation, and its first answer of each status. */
export class Recorder {
  readonly examples: Record<string, OperationExamples> = {};
  private readonly contract = Contract.read();

  keep({ method, url, body }: Sent, { status, type, body: text }: Got): void {
    const found = this.contract.find(method, url);
    if (!found || status >= 300) throw new Error(`${method} ${url} was answered ${status}: ${text}`);
    const { operation } = found;
    this.examples[operation.operationId] ??= { responses: {} };
    const examples = this.examples[operation.operationId] as OperationExamples;
    if (operation.requestBody && body !== undefined) examples.request ??= body;
    if (text === "" || !isShown(type)) return;
    const declared = operation.responses[String(status)] as { content?: Json } | undefined;
    const asDeclared = declared?.content && !(type in declared.content) ? "*/*" : type;
    examples.responses[String(status)] ??= {};
    (examples.responses[String(status)] as Record<string, unknown>)[asDeclared] ??= bodyOf(type, text);
  }
}

/** A body as its schema describes it: of an event stream the data of its first event. */
function bodyOf(type: string, text: string): unknown {
  if (type.endsWith("json")) return JSON.parse(text);
  return type === "text/event-stream" ? JSON.parse(/^data: (.*)$/m.exec(text)?.[1] ?? "null") : text;
}
