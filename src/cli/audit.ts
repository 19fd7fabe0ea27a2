import { readConfig } from "../platform/config/config.js";
import { Database } from "../platform/database/database.js";
import { runningDatabase } from "../platform/database/open-database.js";
import { verifyChain } from "../platform/record/verify.js";

/** Verifies the chain of what happened, in the database of a service of this machine; gives the exit code. */
export async function audit({ noted }: { readonly noted?: string }): Promise<number> {
  const database = new Database(await runningDatabase(readConfig(process.env)), 2);
  try {
    const { links, lastHash, broken, containsHash } = await verifyChain(database, noted?.toLowerCase() ?? null);
    if (broken) {
      console.log(`The chain is broken at link ${broken.position}: ${broken.why}. ${links} links before it hold.`);
      return 1;
    }
    console.log(`${links} links, unbroken. The last has the hash ${lastHash}`);
    if (containsHash === false) console.log("The noted hash is not in the chain: links that it covered are gone.");
    return containsHash === false ? 1 : 0;
  } finally {
    await database.onApplicationShutdown();
  }
}
