import { once } from "node:events";
import { type AddressInfo, connect, createServer, type Socket } from "node:net";

/** A way to a database that ends after a given number of messages, as that of a killed client does. */
export interface CuttingProxy {
  /** Address of the database through it. */
  readonly connectionString: string;
  /** Messages that clients have sent so far, on all connections together. */
  messages(): number;
  close(): Promise<void>;
}

/**
 * Passes on `messages` messages of clients, then does `cut` (unless given, ends all connections). The server gets the last
 * message, and is at work on it when the connection ends.
 */
export async function startCuttingProxy(
  database: string,
  messages = Number.POSITIVE_INFINITY,
  cut?: () => void,
): Promise<CuttingProxy> {
  const address = new URL(database);
  const sockets = new Set<Socket>();
  let sent = 0;
  const endAll = () => {
    for (const socket of sockets) socket.destroy();
  };
  const server = createServer((client) => {
    const upstream = connect(Number(address.port), address.hostname);
    for (const [socket, other] of [
      [client, upstream],
      [upstream, client],
    ] as const) {
      sockets.add(socket);
      // A cut connection is reported as its end.
      socket.on("error", () => undefined);
      socket.on("close", () => {
        sockets.delete(socket);
        other.destroy();
      });
    }
    upstream.pipe(client);
    client.on("data", (chunk) => {
      if (sent >= messages) return client.destroy();
      sent++;
      upstream.write(chunk, sent === messages ? (cut ?? endAll) : undefined);
    });
  });
  server.listen(0, "127.0.0.1");
  await once(server, "listening");
  const through = new URL(database);
  through.port = String((server.address() as AddressInfo).port);
  return {
    connectionString: through.href,
    messages: () => sent,
    async close() {
      endAll();
      server.close();
      await once(server, "close");
    },
  };
}
