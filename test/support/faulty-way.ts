import { once } from "node:events";
import { type AddressInfo, connect, createServer, type Server, type Socket } from "node:net";

/** When the server notices that nobody is there any more, as its own probes tell it, ms. */
const SERVER_NOTICES_MS = 20_000;

/** A way to a database that can be slow, be cut, or go silent. */
export class FaultyWay {
  /** How long each piece takes on its way, in either direction, ms. */
  delayMs = 0;
  private readonly sockets = new Set<Socket>();
  private readonly ofDatabase = new WeakSet<Socket>();
  private readonly silent = new WeakSet<Socket>();
  private isLetIn = true;

  private constructor(
    private readonly server: Server,
    /** The database's address through it. */
    readonly connectionString: string,
  ) {}

  static async to(database: string): Promise<FaultyWay> {
    const target = new URL(database);
    let way: FaultyWay | undefined;
    const server = createServer((client) => way?.join(client, connect(Number(target.port), target.hostname)));
    server.listen(0, "127.0.0.1");
    await once(server, "listening");
    const through = new URL(database);
    through.port = String((server.address() as AddressInfo).port);
    way = new FaultyWay(server, through.href);
    return way;
  }

  get connections(): number {
    return this.sockets.size / 2;
  }

  /** Ends every connection, as a restarted switch or a firewall would. */
  cut(): void {
    for (const socket of this.sockets) socket.destroy();
  }

  /** Lets nothing more through on the connections that stand, which stay open: as when a machine on the way loses its power. */
  silence(): void {
    const silenced = [...this.sockets];
    for (const socket of silenced) this.silent.add(socket);
    setTimeout(() => {
      for (const socket of silenced) if (this.ofDatabase.has(socket)) socket.destroy();
    }, SERVER_NOTICES_MS).unref();
  }

  /** The same, and whoever connects hears nothing either, until `restore`. */
  goAway(): void {
    this.silence();
    this.isLetIn = false;
  }

  restore(): void {
    this.isLetIn = true;
    this.delayMs = 0;
  }

  async close(): Promise<void> {
    this.cut();
    this.server.close();
    await once(this.server, "close");
  }

  private join(client: Socket, database: Socket): void {
    this.ofDatabase.add(database);
    this.pass(client, database);
    this.pass(database, client);
    if (!this.isLetIn) this.silence();
  }

  private pass(from: Socket, to: Socket): void {
    this.sockets.add(from);
    let last: Promise<void> = Promise.resolve();
    from.on("data", (chunk) => {
      const due = performance.now() + this.delayMs;
      last = last.then(async () => {
        const wait = due - performance.now();
        if (wait > 0) await new Promise((resolve) => setTimeout(resolve, wait));
        if (!this.silent.has(from) && !to.destroyed) to.write(chunk);
      });
    });
    // A cut connection is reported as its end.
    from.on("error", () => undefined);
    from.on("close", () => {
      this.sockets.delete(from);
      if (!this.silent.has(from)) to.destroy();
    });
  }
}
