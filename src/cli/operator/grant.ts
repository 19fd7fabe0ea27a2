import { AccountsRepository } from "../../features/accounts/accounts.repository.js";
import { ErasedHandlesRepository } from "../../features/accounts/erased-handles.repository.js";
import { NoticeWriter } from "../../features/notices/notice-writer.service.js";
import { AuditLog } from "../../platform/audit-log/audit-log.js";
import type { Role } from "../../platform/auth/account.js";
import { readConfig } from "../../platform/config/config.js";
import { Database } from "../../platform/database/database.js";
import { runningDatabase } from "../../platform/database/opening/open-database.js";
import { Notifications } from "../../platform/notifications/notifications.js";
import { UsageError } from "../usage-error.js";

/** Gives an account another role, in the database of a service of this machine. */
export async function grant(handle: string, { role }: { readonly role: Role }): Promise<void> {
  const database = new Database(await runningDatabase(readConfig(process.env)), 2);
  const accounts = new AccountsRepository(
    database,
    new AuditLog(database),
    new ErasedHandlesRepository(database),
    new NoticeWriter(new Notifications(database)),
  );
  try {
    if (!(await accounts.updateRole(handle, role))) throw new UsageError(`There is no account ${handle}.`);
    console.log(`${handle} is now ${role}.`);
  } finally {
    await database.onApplicationShutdown();
  }
}
