import { AccountsRepository } from "../features/accounts/accounts.repository.js";
import type { Role } from "../platform/auth/account.js";
import { readConfig } from "../platform/config/config.js";
import { Database } from "../platform/database/database.js";
import { runningDatabase } from "../platform/database/open-database.js";
import { Happenings } from "../platform/record/happenings.js";
import { UsageFault } from "./faults.js";

/** Gives an account another role, in the database of a service of this machine. */
export async function grant(handle: string, { role }: { readonly role: Role }): Promise<void> {
  const database = new Database(await runningDatabase(readConfig(process.env)), 2);
  try {
    if (!(await new AccountsRepository(database, new Happenings(database)).updateRole(handle, role)))
      throw new UsageFault(`There is no account ${handle}.`);
    console.log(`${handle} is now ${role}.`);
  } finally {
    await database.onApplicationShutdown();
  }
}
