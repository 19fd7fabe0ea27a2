import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { freePort, isReady } from "../durability/network.js";
import { DatabaseServer, Program } from "../durability/processes.js";
import { built, trialEnvironment } from "../durability/trial-programs.js";
import { FaultyWay } from "../support/faulty-way.js";
import { Standby } from "../support/standby.js";
import { SETUP_TOKEN } from "./crowd.js";

export interface WorldOptions {
  /** Folder of the database's files; one of its own when left out. */
  readonly databaseFolder?: string;
  /** Variables of service and worker beside the usual ones. */
  readonly settings?: Readonly<Record<string, string>>;
  /** Whether there is a streaming replica of the database, which the service reads from. */
  readonly hasReplica?: boolean;
  /** Called once the database has started. */
  readonly afterDatabase?: () => void;
}

interface FaultyReplica {
  readonly standby: Standby;
  readonly way: FaultyWay;
}

/** A database, a service and a worker, as processes of their own, and a way to the database that can be made to fail. */
export class World {
  private constructor(
    readonly folder: string,
    readonly database: DatabaseServer,
    /** The database's address past the faulty way. */
    readonly direct: string,
    readonly way: FaultyWay,
    private readonly ownReplica: FaultyReplica | null,
    readonly url: string,
    readonly service: Program,
    readonly worker: Program,
  ) {}

  static async start({
    databaseFolder,
    settings = {},
    hasReplica = false,
    afterDatabase = () => undefined,
  }: WorldOptions = {}): Promise<World> {
    const folder = await mkdtemp(join(tmpdir(), "packledger-faults-"));
    const database = new DatabaseServer(databaseFolder ?? folder);
    const direct = await database.start();
    afterDatabase();
    const way = await FaultyWay.to(direct);
    const replica = hasReplica ? await replicaOf(database, folder) : null;
    const url = `http://127.0.0.1:${await freePort()}`;
    const environment = environmentOf(way.connectionString, url, {
      // The worker that is broken is a program of its own.
      RUN_JOBS: "false",
      ...(replica ? { REPLICA_URL: replica.way.connectionString } : {}),
      ...settings,
    });
    const service = new Program(built("main.js"), environment, join(folder, "service.log"), () => isReady(url));
    const worker = new Program(built("worker.js"), environment, join(folder, "worker.log"), async () => true);
    const world = new World(folder, database, direct, way, replica, url, service, worker);
    try {
      await service.start();
      await worker.start();
      return world;
    } catch (error) {
      await world.stop(false);
      throw error;
    }
  }

  get replica(): FaultyReplica {
    if (!this.ownReplica) throw new Error("this world was started without a replica");
    return this.ownReplica;
  }

  /** @param isClean nothing was found wrong: the logs of service and worker need not be kept */
  async stop(isClean: boolean): Promise<void> {
    await this.service.kill();
    await this.worker.kill();
    await this.way.close();
    await this.ownReplica?.way.close();
    await this.ownReplica?.standby.kill();
    await this.database.stop();
    if (isClean) await rm(this.folder, { recursive: true, force: true });
    else console.log(`  logs are kept in ${this.folder}`);
  }
}

async function replicaOf(database: DatabaseServer, folder: string): Promise<FaultyReplica> {
  const standby = await Standby.of(database.running, database.filesFolder, join(folder, "standby"));
  return { standby, way: await FaultyWay.to(standby.connectionString) };
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
