import type { IncomingMessage, Server, ServerResponse } from "node:http";
import type { SentAnswer } from "./check-answer.js";

/** Hands on every answer that a server sends over a connection, once it is sent; of event streams no body. */
export function watchAnswers(server: Server, sent: (answer: SentAnswer) => void): void {
  server.prependListener("request", (request: IncomingMessage, response: ServerResponse) => {
    const chunks: Buffer[] = [];
    let written: Record<string, unknown> = {};
    const keep = (chunk: unknown) => {
      const isEvent = String(written["content-type"]).startsWith("text/event-stream");
      if (!isEvent && (typeof chunk === "string" || chunk instanceof Uint8Array)) chunks.push(Buffer.from(chunk));
    };
    const { writeHead, write, end } = response;
    response.writeHead = ((status: number, ...rest: unknown[]) => {
      const headers = rest.find((one) => typeof one === "object" && one !== null) ?? {};
      written = { ...response.getHeaders(), ...headers };
      return Reflect.apply(writeHead, response, [status, ...rest]);
    }) as typeof writeHead;
    response.write = ((...all: unknown[]) => {
      keep(all[0]);
      return Reflect.apply(write, response, all);
    }) as typeof write;
    response.end = ((...all: unknown[]) => {
      keep(all[0]);
      return Reflect.apply(end, response, all);
    }) as typeof end;
    response.once("finish", () => {
      const { method = "GET", url = "/" } = request;
      const headers = { ...response.getHeaders(), ...written };
      sent({ method, url, status: response.statusCode, headers, body: Buffer.concat(chunks) });
    });
  });
}
