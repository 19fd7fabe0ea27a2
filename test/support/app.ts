import { createHash, randomUUID } from "node:crypto";
import { rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { NestFastifyApplication } from "@nestjs/platform-fastify";
import { startApp } from "../../src/create-app.js";
import { AccountsRepository } from "../../src/features/accounts/accounts.repository.js";
import { hashPassword } from "../../src/features/accounts/passwords.js";
import { SessionsService } from "../../src/features/accounts/sessions/sessions.service.js";
import { AuditLog } from "../../src/platform/audit-log/audit-log.js";
import { type Config, readConfig } from "../../src/platform/config/config.js";
import { Database } from "../../src/platform/database/database.js";
import { ThreadPool } from "../../src/platform/threads/thread-pools.js";
import { closeApp } from "../../src/start-service.js";
import { holdToContract } from "./contract/hold-to-contract.js";
import { cloneDatabase } from "./database.js";
import { watchConnections } from "./one-connection.js";
import { startPooler } from "./pooler.js";

export interface TestApp {
  /** The application itself, for what only its own services can do. */
  readonly nest: NestFastifyApplication;
  /** Where it listens, for what needs a real connection. */
  readonly url: string;
  readonly database: Database;
  /** Asks the app as a client would, without a connection. */
  readonly inject: NestFastifyApplication["inject"];
  /** Registers a tester unless there is one, gives the role, and returns the header fields that its requests carry. */
  signIn(handle: string, role?: "tester" | "moderator" | "administrator"): Promise<{ authorization: string }>;
  /** Runs a GraphQL document and returns the answer's status and body. */
  graphql(query: string, options?: GraphqlOptions): Promise<{ status: number; body: GraphqlBody }>;
  close(): Promise<void>;
}

interface GraphqlOptions {
  readonly variables?: object;
  readonly headers?: Record<string, string>;
}

export interface GraphqlBody {
  readonly data: Record<string, unknown> | null;
  readonly errors?: readonly { readonly message: string; readonly extensions: Record<string, unknown> }[];
}

// Used for as long as this process lives, so that the services of all its test files share threads that have computed before.
new ThreadPool(readConfig({}).evaluationThreads);

const password = "correct horse battery";

/** What is computed arrives however busy the machine is. */
export const PATIENT: Partial<Config> = { evaluationSeconds: 3_600, waitSeconds: 3_600, readSeconds: 3_600 };

/** The whole service on a database of its own, with every answer of its REST API held to `contracts/openapi.json`. */
export async function startTestApp(settings: Partial<Config> = {}): Promise<TestApp> {
  return holdToContract(await startService(settings));
}

async function accountIdOf(nest: NestFastifyApplication, handle: string): Promise<string | null> {
  return (await nest.get(AccountsRepository).credentialsOf(handle))?.id ?? null;
}

// Hashes that are slow on purpose are made where they are the subject: here there is one for all, and none of a handle.
const passwordHash = hashPassword(password);

/** Stores what registering stores. */
async function register(nest: NestFastifyApplication, handle: string): Promise<string> {
  const digested = { handle, digests: [createHash("sha256").update(handle).digest()] };
  const { id } = await nest
    .get(AuditLog)
    .transaction(async (tx) => nest.get(AccountsRepository).createIn(tx, digested, await passwordHash, "tester"));
  return id;
}

async function startService(settings: Partial<Config>): Promise<TestApp> {
  const testDatabase = await cloneDatabase();
  const dataFolder = join(tmpdir(), `packledger-${randomUUID()}`);
  // `npm run test:pooler`: each service behind a pooler of its own.
  const pooler = process.env.PGBOUNCER ? await startPooler(process.env.PGBOUNCER, testDatabase.connectionString) : null;
  const usual = readConfig({ LOG_LEVEL: "silent", DATABASE_CONNECTIONS: "5", DATA_DIR: dataFolder });
  const poolerUrl = pooler?.connectionString ?? null;
  const config = { ...usual, ...PATIENT, poolerUrl, ...settings };
  const nest = await startApp(config, testDatabase.connectionString);
  await nest.listen({ port: 0, host: "127.0.0.1" });
  const database = nest.get(Database);
  const secondConnections = watchConnections(database);
  const inject = nest.inject.bind(nest) as NestFastifyApplication["inject"];
  return {
    nest,
    url: await nest.getUrl(),
    database,
    inject,
    async signIn(handle, role = "tester") {
      const id = (await accountIdOf(nest, handle)) ?? (await register(nest, handle));
      await database.account.update({ where: { id }, data: { role } });
      const { token } = await nest.get(SessionsService).openFor(id);
      return { authorization: `Bearer ${token}` };
    },
    async graphql(query, { variables = {}, headers = {} } = {}) {
      const accepting = { accept: "application/graphql-response+json", ...headers };
      const answer = await inject({
        method: "POST",
        url: "/graphql",
        payload: { query, variables },
        headers: accepting,
      });
      return { status: answer.statusCode, body: answer.json<GraphqlBody>() };
    },
    async close() {
      await closeApp(nest);
      await pooler?.stop();
      await testDatabase.drop();
      await rm(dataFolder, { recursive: true, force: true });
      if (secondConnections.size > 0) {
        throw new Error(`asked for a second connection inside a transaction:\n${[...secondConnections].join("\n")}`);
      }
    },
  };
}
