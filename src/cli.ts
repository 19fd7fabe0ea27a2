#!/usr/bin/env node
import { Command, Option } from "commander";
import { AccountsRepository } from "./features/accounts/accounts.repository.js";
import { ROLES, type Role } from "./platform/auth/account.js";
import { readConfig } from "./platform/config/config.js";
import { Database } from "./platform/database/database.js";
import { runningDatabase } from "./platform/database/open-database.js";

async function grant(handle: string, { role }: { role: Role }): Promise<void> {
  const database = new Database(await runningDatabase(readConfig(process.env)), 2);
  try {
    if (!(await new AccountsRepository(database).updateRole(handle, role)))
      throw new Error(`There is no account ${handle}.`);
    console.log(`${handle} is now ${role}.`);
  } finally {
    await database.onApplicationShutdown();
  }
}

const program = new Command("packledger").description("Operate a Packledger service on this machine.");
program
  .command("grant")
  .description("give an account another role; needs the database of a running service")
  .argument("<handle>", "the account")
  .addOption(new Option("--role <role>", "its new role").choices(ROLES).makeOptionMandatory())
  .action(grant);

try {
  await program.parseAsync();
} catch (error) {
  console.error(`Error: ${error instanceof Error ? error.message : String(error)}`);
  process.exitCode = 1;
}
