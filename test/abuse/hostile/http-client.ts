import { request } from "node:http";
import { connect, type Socket } from "node:net";
import { setTimeout as delay } from "node:timers/promises";

export interface Sent {
  readonly method?: string;
  readonly path: string;
  readonly headers?: Readonly<Record<string, string>>;
  readonly body?: string | Buffer;
}

interface Received {
  /** The status with its problem's code, or an error of the connection. */
  readonly answer: string;
  readonly body: string;
}

/** Longest that an answer is waited for, ms. */
const PATIENCE_MS = 120_000;
/** No more of a body is kept than tells its code. */
const KEPT_BYTES = 65_536;

/** Sends one request over a connection of its own. */
export function send(base: string, { method = "GET", path, headers = {}, body }: Sent): Promise<Received> {
  return new Promise((resolve) => {
    const failed = (error: Error) =>
      resolve({ answer: String((error as NodeJS.ErrnoException).code ?? error.message), body: "" });
    const { hostname, port } = new URL(base);
    const asked = request({ hostname, port, method, path, headers, agent: false, timeout: PATIENCE_MS }, (answer) => {
      let text = "";
      answer.setEncoding("utf8");
      answer.on("data", (chunk: string) => {
        if (text.length < KEPT_BYTES) text += chunk;
      });
      answer.on("error", failed);
      answer.on("end", () => {
        const [, code] = /"type":"\/problems\/([a-z-]+)"/.exec(text) ?? [];
        resolve({ answer: code ? `${answer.statusCode} ${code}` : String(answer.statusCode), body: text });
      });
    });
    asked.on("timeout", () => asked.destroy(new Error("no answer")));
    asked.on("error", failed);
    asked.end(body);
  });
}

/** Does something so many times, so many at once. */
export async function manyAtOnce(times: number, atOnce: number, act: (index: number) => Promise<void>): Promise<void> {
  let next = 0;
  const worker = async () => {
    while (next < times) await act(next++);
  };
  await Promise.all(Array.from({ length: Math.min(times, atOnce) }, worker));
}

/** Opens a connection from an address of this machine; null when it is refused. */
export function open(base: string, localAddress: string): Promise<Socket | null> {
  const { hostname, port } = new URL(base);
  return new Promise((resolve) => {
    const socket = connect({ host: hostname, port: Number(port), localAddress });
    socket.once("connect", () => resolve(socket));
    socket.on("error", () => {
      socket.destroy();
      resolve(null);
    });
  });
}

/** Writes bytes as they are and collects what comes back until the connection closes, or for so long. */
export async function exchange(base: string, bytes: string | Buffer, waitMs: number): Promise<string> {
  const socket = await open(base, "127.0.0.1");
  if (!socket) return "";
  let text = "";
  socket.on("data", (chunk) => {
    if (text.length < KEPT_BYTES) text += chunk.toString("latin1");
  });
  socket.write(bytes);
  await Promise.race([new Promise((resolve) => socket.once("close", resolve)), delay(waitMs, null, { ref: false })]);
  socket.destroy();
  return text;
}

/** The statuses in what came back. */
export function statusesIn(text: string): string[] {
  return [...text.matchAll(/(?:^|\n|\}|\])HTTP\/1\.[01] (\d{3})/g)].map(([, status = ""]) => status);
}
