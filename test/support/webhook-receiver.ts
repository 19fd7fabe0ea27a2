import { createServer, type IncomingHttpHeaders, type RequestListener } from "node:http";
import type { AddressInfo } from "node:net";
import { setTimeout as delay } from "node:timers/promises";
import { Webhook } from "standardwebhooks";

/** What a receiver was sent. */
export interface Received {
  readonly headers: IncomingHttpHeaders;
  readonly body: string;
}

/** A receiver of webhooks on this machine. */
export interface WebhookReceiver {
  readonly url: string;
  readonly received: readonly Received[];
  /** Answers so from now on: a status, or what is done with the request. */
  answer(how: number | RequestListener): void;
  /** Waits until so many messages have come. */
  until(count: number): Promise<void>;
  close(): Promise<void>;
}

export async function startWebhookReceiver(): Promise<WebhookReceiver> {
  const received: Received[] = [];
  let how: number | RequestListener = 204;
  let wake = () => {};
  const server = createServer(async (request, response) => {
    let body = "";
    for await (const bytes of request.setEncoding("utf8")) body += bytes;
    received.push({ headers: request.headers, body });
    if (typeof how === "number") response.writeHead(how).end();
    else how(request, response);
    wake();
  });
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  return {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}/told`,
    received,
    answer(next) {
      how = next;
    },
    async until(count) {
      while (received.length < count) {
        await new Promise<void>((resolve) => {
          wake = resolve;
        });
      }
    },
    close() {
      server.closeAllConnections();
      return new Promise((resolve) => server.close(() => resolve()));
    },
  };
}

/** Looks until something is as it is waited for. */
export async function until<T>(look: () => Promise<T>, isSo: (found: T) => boolean): Promise<T> {
  for (;;) {
    const found = await look();
    if (isSo(found)) return found;
    await delay(20);
  }
}

/** Reads a message as any receiver would, by the library of the standard. */
export function verified<Data = { readonly kind: string; readonly subject: object }>(
  { headers, body }: Received,
  secret: string,
) {
  const message = new Webhook(secret).verify(body, headers as Record<string, string>);
  return message as { readonly type: string; readonly timestamp: string; readonly data: Data };
}
