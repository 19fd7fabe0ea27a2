import { mkdir, rm } from "node:fs/promises";
import { join } from "node:path";
import { Client } from "pg";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { startEmbeddedServer } from "../../src/platform/database/embedded/embedded-server.js";
import { freePort, isReady, isUnanswered } from "../../test/durability/network.js";
import { Program } from "../../test/durability/processes.js";
import { fill, type Size } from "./fill.js";
import { GRAPHQL_PEER, installGraphqlPeer } from "./graphql-peer.js";

/** A filled record with the service and the peer on it, each a process of its own. */
export interface Stage {
  readonly service: string;
  readonly peer: string;
  /** Where the peer that speaks GraphQL is asked; null where it could not be installed, or is not wanted. */
  readonly graphqlPeer: string | null;
  /** As the owner of the server. */
  readonly ownerConnectionString: string;
  /** Changes standings as the acceptance of a run of one pack does; without a number, of one after the other. */
  decide(pack?: number): Promise<void>;
  close(): Promise<void>;
}

const build = (...path: string[]) => join(projectRoot, "dist", ...path);

export async function openStage(
  folder: string,
  size: Size,
  say: (line: string) => void,
  withGraphqlPeer = false,
): Promise<Stage> {
  await mkdir(folder, { recursive: true });
  const database = await startEmbeddedServer(join(folder, "data"));
  const { connectionString } = database;
  // Only the server's owner may leave triggers out.
  const owner = new URL(database.ownerConnectionString);
  owner.pathname = new URL(connectionString).pathname;
  const hasGraphqlPeer = withGraphqlPeer && (await installGraphqlPeer(say));
  const [servicePort, peerPort, graphqlPort] = [await freePort(), await freePort(), await freePort()];
  const service = `http://127.0.0.1:${servicePort}`;
  const peer = `http://127.0.0.1:${peerPort}`;
  const environment = { DATABASE_URL: connectionString, PORT: String(servicePort), DEMO: "false", LOG_LEVEL: "error" };
  const serviceProcess = new Program(build("src", "main.js"), environment, join(folder, "service.log"), () =>
    isReady(service),
  );
  const peerProcess = new Program(
    build("bench", "scale", "bare.js"),
    {},
    join(folder, "peer.log"),
    () => answers(peer),
    [String(peerPort), connectionString],
  );
  const graphqlPeer = `http://127.0.0.1:${graphqlPort}`;
  const graphqlPeerProcess = new Program(
    GRAPHQL_PEER,
    { NODE_ENV: "production" },
    join(folder, "graphql-peer.log"),
    () => answers(graphqlPeer),
    [String(graphqlPort), connectionString],
  );
  const client = new Client({ connectionString });
  let decided = 0;
  const stage: Stage = {
    service,
    peer,
    graphqlPeer: hasGraphqlPeer ? `${graphqlPeer}/graphql` : null,
    ownerConnectionString: owner.href,
    async decide(pack) {
      const number = pack ?? 1 + ((decided++ * 7919) % size.packs);
      await client.query(
        `UPDATE standing SET value = value * 1.0001, sort_value = sort_value * 1.0001, runs = runs + 1
         WHERE pack_id = ('00000003-0000-7000-8000-' || lpad(to_hex($1::int), 12, '0'))::uuid AND protocol_key = 'full-load'`,
        [number],
      );
    },
    async close() {
      await client.end();
      await graphqlPeerProcess.kill();
      await peerProcess.kill();
      await serviceProcess.kill();
      await database.stop();
      await rm(folder, { recursive: true, force: true });
    },
  };
  try {
    // The service brings the tables up to date at its start.
    await serviceProcess.start();
    await client.connect();
    const begun = performance.now();
    await fill(owner.href, size);
    say(`${size.packs} packs and ${size.runs} runs filled in ${Math.round((performance.now() - begun) / 1000)} s`);
    await serviceProcess.kill();
    await serviceProcess.start();
    await peerProcess.start();
    if (hasGraphqlPeer) await graphqlPeerProcess.start();
    return stage;
  } catch (error) {
    await stage.close();
    throw error;
  }
}

async function answers(url: string): Promise<boolean> {
  try {
    return (await fetch(url)).status === 404;
  } catch (error) {
    if (isUnanswered(error)) return false;
    throw error;
  }
}
