import { readFile, rename, writeFile } from "node:fs/promises";
import { discrepancies } from "../../features/audit/audit-state.js";
import { type Checkpoint, makeCheckpoint, publicKeyText, readCheckpoint } from "../../platform/audit-log/checkpoint.js";
import { readSigningKey, signingKeyIn } from "../../platform/audit-log/signing-key.js";
import { type ChainReport, verifyChain } from "../../platform/audit-log/verify.js";
import { type Config, readConfig } from "../../platform/config/config.js";
import { Database } from "../../platform/database/database.js";
import { runningDatabase } from "../../platform/database/opening/open-database.js";
import { UsageError } from "../usage-error.js";

/** Discrepancies that are printed; the rest is counted. */
const MAX_SHOWN = 50;

interface AuditOptions {
  readonly noted?: string;
  /** File to write a signed checkpoint to. */
  readonly checkpoint?: string;
  /** File with a checkpoint that the audit log must continue. */
  readonly against?: string;
  /** The key that signed it, base64url, where its private half is not on this machine. */
  readonly publicKey?: string;
}

/**
 * Verifies the audit log in the database of a service of this machine, and the state that it describes.
 *
 * @returns the exit code
 */
export async function audit({ noted, checkpoint, against, publicKey }: AuditOptions): Promise<number> {
  const config = readConfig(process.env);
  const earlier = against ? await checkpointIn(against, publicKey ?? null, config) : null;
  const database = new Database(await runningDatabase(config), 2);
  try {
    const report = await verifyChain(database, noted?.toLowerCase() ?? null, earlier?.length ?? null);
    const isValid = sayChain(report, earlier);
    const isState = await sayState(database);
    if (!isValid || !isState) return 1;
    if (checkpoint) await write(checkpoint, report, config);
    return 0;
  } finally {
    await database.onApplicationShutdown();
  }
}

async function checkpointIn(file: string, given: string | null, config: Config): Promise<Checkpoint> {
  const own = given ? null : await readSigningKey(config.auditKeyFile);
  const publicKey = given ?? (own && publicKeyText(own));
  if (!publicKey) {
    throw new UsageError(`There is no key in ${config.auditKeyFile}. Name the one that signed it with --public-key.`);
  }
  return readCheckpoint(await readFile(file, "utf8"), publicKey);
}

function sayChain(
  { entries, lastHash, broken, containsHash, hashAt }: ChainReport,
  earlier: Checkpoint | null,
): boolean {
  if (broken) {
    console.log(
      `The audit log is broken at entry ${broken.position}: ${broken.why}. The ${entries} entries before it are valid.`,
    );
    return false;
  }
  console.log(`${entries} entries, all valid. Hash of the last: ${lastHash}`);
  if (containsHash === false) {
    console.log("The noted hash is not in the audit log: entries that it covered are gone.");
  }
  if (!earlier) return containsHash !== false;
  const { length, head, time } = earlier;
  if (hashAt === null) {
    console.log(`The audit log is truncated: it had ${length} entries at ${time}, and has ${entries} now.`);
  } else if (hashAt !== head) {
    console.log(`The audit log was rewritten: entry ${length} is not the one of the checkpoint of ${time}.`);
  } else console.log(`It continues the checkpoint of ${time} with ${length} entries.`);
  return containsHash !== false && hashAt === head;
}

async function sayState(database: Database): Promise<boolean> {
  let count = 0;
  for await (const { kind, id, why } of discrepancies(database)) {
    if (count++ < MAX_SHOWN) console.log(`${kind} ${id}: ${why}.`);
  }
  if (count > MAX_SHOWN) console.log(`... and ${count - MAX_SHOWN} more.`);
  console.log(
    count === 0
      ? "Runs, roles, evaluations and logs are as the audit log and their digests say."
      : `${count} discrepancies between the database and the audit log.`,
  );
  return count === 0;
}

async function write(file: string, { entries, lastHash }: ChainReport, config: Config): Promise<void> {
  const key = await signingKeyIn(config.auditKeyFile);
  const made = makeCheckpoint(entries, lastHash, new Date().toISOString(), key);
  await writeFile(`${file}.new`, `${JSON.stringify(made, null, 2)}\n`);
  await rename(`${file}.new`, file);
  console.log(`Checkpoint written to ${file}, signed with the key in ${config.auditKeyFile}.`);
  console.log(`Public key: ${made.publicKey}`);
}
