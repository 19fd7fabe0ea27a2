import { Global, Module } from "@nestjs/common";
import { SESSION_READER } from "../../platform/auth/account.js";
import { AccountsController } from "./accounts.controller.js";
import { AccountsRepository } from "./accounts.repository.js";
import { AccountsResolver } from "./accounts.resolver.js";
import { AccountsService } from "./accounts.service.js";

/** Global, because every request's guard asks it who is calling. */
@Global()
@Module({
  controllers: [AccountsController],
  providers: [
    AccountsRepository,
    AccountsResolver,
    AccountsService,
    { provide: SESSION_READER, useExisting: AccountsService },
  ],
  exports: [AccountsService, SESSION_READER],
})
export class AccountsModule {}
