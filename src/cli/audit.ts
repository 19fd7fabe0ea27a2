import { verifyChain } from "../platform/audit-log/verify.js";
import { readConfig } from "../platform/config/config.js";
import { Database } from "../platform/database/database.js";
import { runningDatabase } from "../platform/database/open-database.js";

/**
 * Verifies the audit log in the database of a service of this machine.
 *
 * @returns the exit code
 */
export async function audit({ noted }: { readonly noted?: string }): Promise<number> {
  const database = new Database(await runningDatabase(readConfig(process.env)), 2);
  try {
    const { entries, lastHash, broken, containsHash } = await verifyChain(database, noted?.toLowerCase() ?? null);
    if (broken) {
      console.log(
        `The audit log is broken at entry ${broken.position}: ${broken.why}. The ${entries} entries before it are valid.`,
      );
      return 1;
    }
    console.log(`${entries} entries, all valid. Hash of the last: ${lastHash}`);
    if (containsHash === false)
      console.log("The noted hash is not in the audit log: entries that it covered are gone.");
    return containsHash === false ? 1 : 0;
  } finally {
    await database.onApplicationShutdown();
  }
}
