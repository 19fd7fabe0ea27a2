import { Global, Module } from "@nestjs/common";
import { CREDENTIAL_READER } from "../../platform/auth/account.js";
import { IdentityProvider } from "../../platform/identity-provider/identity-provider.js";
import { AccountsController } from "./accounts.controller.js";
import { AccountsRepository } from "./accounts.repository.js";
import { AccountsResolver } from "./accounts.resolver.js";
import { AccountsService } from "./accounts.service.js";
import { Confirmations } from "./confirmations.js";
import { Credentials } from "./credentials.js";
import { IdentitiesController } from "./identities.controller.js";
import { IdentitiesRepository } from "./identities.repository.js";
import { KeysController } from "./keys.controller.js";
import { KeysRepository } from "./keys.repository.js";
import { KeysResolver } from "./keys.resolver.js";
import { KeysService } from "./keys.service.js";
import { SessionsController } from "./sessions.controller.js";
import { SessionsRepository } from "./sessions.repository.js";
import { SessionsResolver } from "./sessions.resolver.js";
import { SessionsService } from "./sessions.service.js";
import { SetupController } from "./setup.controller.js";
import { SetupRepository } from "./setup.repository.js";
import { SetupService } from "./setup.service.js";
import { SignInsController } from "./sign-ins.controller.js";
import { SignInsRepository } from "./sign-ins.repository.js";
import { SignInsResolver } from "./sign-ins.resolver.js";
import { SignInsService } from "./sign-ins.service.js";

/** Global, because every request's guard asks it who is calling. */
@Global()
@Module({
  controllers: [
    AccountsController,
    SessionsController,
    KeysController,
    SetupController,
    SignInsController,
    IdentitiesController,
  ],
  providers: [
    AccountsRepository,
    AccountsResolver,
    AccountsService,
    SessionsRepository,
    SessionsResolver,
    SessionsService,
    KeysRepository,
    KeysResolver,
    KeysService,
    SetupRepository,
    SetupService,
    IdentityProvider,
    IdentitiesRepository,
    SignInsRepository,
    SignInsResolver,
    SignInsService,
    Confirmations,
    Credentials,
    { provide: CREDENTIAL_READER, useExisting: Credentials },
  ],
  exports: [AccountsService, SetupService, CREDENTIAL_READER],
})
export class AccountsModule {}
