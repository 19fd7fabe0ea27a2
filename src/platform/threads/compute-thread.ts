import { pathToFileURL } from "node:url";
import type { MessagePort } from "node:worker_threads";

export interface ThreadTask {
  /** File of the built module. */
  readonly file: string;
  readonly name: string;
  readonly input: unknown;
  readonly port: MessagePort;
}

/** What a thread sends while it computes: that it began, and what the function tells. */
export type ThreadMessage = { readonly begun: true } | { readonly told: unknown };

type Computation = (input: unknown, tell: (message: unknown) => void) => unknown;

/** Runs on a thread: computes what a module exports, and says when it begins, since a task may have waited for its thread. */
export default async function compute({ file, name, input, port }: ThreadTask): Promise<unknown> {
  const send = (message: ThreadMessage) => port.postMessage(message);
  send({ begun: true });
  const exported = (await import(pathToFileURL(file).href)) as Readonly<Record<string, Computation>>;
  const computation = exported[name];
  if (!computation) throw new Error(`${file} exports no ${name}`);
  return computation(input, (told) => send({ told }));
}
