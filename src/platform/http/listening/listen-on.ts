import { lookup } from "node:dns/promises";
import { once } from "node:events";
import type { Server } from "node:http";
import { type AddressInfo, createServer, type Server as SocketServer } from "node:net";

/**
 * Where to listen for a host: `localhost` is every loopback address that it stands for (RFC 6761, 6.3), since programs try one or the
 * other.
 */
export async function addressesOf(host: string): Promise<readonly string[]> {
  if (host !== "localhost") return [host];
  return (await lookup(host, { all: true })).map(({ address }) => address);
}

/**
 * Makes a server listen on one port of all addresses; those after the first that cannot be had are left out. Being closed, the server
 * closes all of them.
 *
 * @throws what listening on the first address fails with
 */
export async function listenOn(server: Server, addresses: readonly string[], port: number): Promise<void> {
  const [first, ...others] = addresses;
  server.listen({ host: first, port });
  await once(server, "listening");
  const beside = await Promise.all(others.map((address) => listenBeside(server, address)));
  closeWith(
    server,
    beside.filter((other) => other !== null),
  );
}

/** Hands over to the server what connects to another address; null when that address cannot be had. */
async function listenBeside(server: Server, host: string): Promise<SocketServer | null> {
  const other = createServer({ allowHalfOpen: true, noDelay: true }, (socket) => server.emit("connection", socket));
  other.listen({ host, port: (server.address() as AddressInfo).port });
  return once(other, "listening").then(
    () => other,
    () => null,
  );
}

function closeWith(server: Server, others: readonly SocketServer[]): void {
  if (others.length === 0) return;
  const close = server.close.bind(server);
  server.close = (done) => {
    const closed = others.map((other) => new Promise((ended) => other.close(ended)));
    return close((error) => void Promise.all(closed).then(() => done?.(error)));
  };
}
