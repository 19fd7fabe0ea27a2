import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { freePort, isReady } from "../durability/network.js";
import { DatabaseServer, Program } from "../durability/processes.js";
import { built, trialEnvironment } from "../durability/trial-programs.js";
import { FaultyWay } from "../support/faulty-way.js";
import { SETUP_TOKEN } from "./crowd.js";

export interface WorldOptions {
  /** Folder of the database's files; one of its own when left out. */
  readonly databaseFolder?: string;
  /** Variables of service and worker beside the usual ones. */
  readonly settings?: Readonly<Record<string, string>>;
  /** Whether the service leaves the queue to the worker. */
  readonly worksQueue?: boolean;
  /** Called once the database has started. */
  readonly afterDatabase?: () => void;
}

/** A database, a service and a worker, as processes of their own, and a way to the database that can be made to fail. */
export class World {
  private constructor(
    readonly folder: string,
    readonly database: DatabaseServer,
    /** The database's address past the faulty way. */
    readonly direct: string,
    readonly way: FaultyWay,
    readonly url: string,
    readonly service: Program,
    readonly worker: Program,
  ) {}

  static async start({
    databaseFolder,
    settings = {},
    worksQueue = true,
    afterDatabase = () => undefined,
  }: WorldOptions = {}): Promise<World> {
    const folder = await mkdtemp(join(tmpdir(), "packledger-faults-"));
    const database = new DatabaseServer(databaseFolder ?? folder);
    const direct = await database.start();
    afterDatabase();
    const way = await FaultyWay.to(direct);
    const url = `http://127.0.0.1:${await freePort()}`;
    const environment = environmentOf(way.connectionString, url, { RUN_JOBS: String(worksQueue), ...settings });
    const service = new Program(built("main.js"), environment, join(folder, "service.log"), () => isReady(url));
    const worker = new Program(built("worker.js"), environment, join(folder, "worker.log"), async () => true);
    const world = new World(folder, database, direct, way, url, service, worker);
    try {
      await service.start();
      await worker.start();
      return world;
    } catch (error) {
      await world.stop(false);
      throw error;
    }
  }

  /** @param isClean nothing was found wrong: the logs of service and worker need not be kept */
  async stop(isClean: boolean): Promise<void> {
    await this.service.kill();
    await this.worker.kill();
    await this.way.close();
    await this.database.stop();
    if (isClean) await rm(this.folder, { recursive: true, force: true });
    else console.log(`  logs are kept in ${this.folder}`);
  }
}

/** What a service of a trial is told. */
export const environmentOf = (connectionString: string, url: string, more: Readonly<Record<string, string>> = {}) =>
  trialEnvironment(connectionString, url, {
    DATABASE_CONNECTIONS: "6",
    WAIT_SECONDS: "1",
    SETUP_TOKEN,
    LIMIT_ADDRESS: "1000000",
    LIMIT_ACCOUNT: "1000000",
    LIMIT_UPLOADS: "1000000",
    ...more,
  });
