import { getPriority, platform, setPriority } from "node:os";
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

/** By how much a computation gives way to answers: steps of the nice value, of which the highest is 19 (setpriority(2)). */
const GIVES_WAY_BY = 5;
const MAX_NICE = 19;

// On Linux that is the calling thread's own; elsewhere it would be the whole process's.
if (platform() === "linux") setPriority(Math.min(getPriority() + GIVES_WAY_BY, MAX_NICE));

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
