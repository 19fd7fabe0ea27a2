import { Global, Module } from "@nestjs/common";
import { CREDENTIAL_READER } from "../../platform/auth/account.js";
import { OpenStreams } from "../../platform/auth/open-streams.js";
import { IdentityProvider } from "../../platform/identity-provider/identity-provider.js";
import { NoticesModule } from "../notices/notices.module.js";
import { AccountsController } from "./accounts.controller.js";
import { AccountsRepository } from "./accounts.repository.js";
import { AccountsResolver } from "./accounts.resolver.js";
import { AccountsService } from "./accounts.service.js";
import { Confirmations } from "./confirmations.js";
import { Credentials } from "./credentials.js";
import { ErasedHandlesRepository } from "./erased-handles.repository.js";
import { KeysController } from "./keys/keys.controller.js";
import { KeysRepository } from "./keys/keys.repository.js";
import { KeysResolver } from "./keys/keys.resolver.js";
import { KeysService } from "./keys/keys.service.js";
import { SessionsController } from "./sessions/sessions.controller.js";
import { SessionsRepository } from "./sessions/sessions.repository.js";
import { SessionsResolver } from "./sessions/sessions.resolver.js";
import { SessionsService } from "./sessions/sessions.service.js";
import { SetupController } from "./setup/setup.controller.js";
import { SetupRepository } from "./setup/setup.repository.js";
import { SetupService } from "./setup/setup.service.js";
import { IdentitiesController } from "./sign-ins/identities.controller.js";
import { IdentitiesRepository } from "./sign-ins/identities.repository.js";
import { SignInsController } from "./sign-ins/sign-ins.controller.js";
import { SignInsRepository } from "./sign-ins/sign-ins.repository.js";
import { SignInsResolver } from "./sign-ins/sign-ins.resolver.js";
import { SignInsService } from "./sign-ins/sign-ins.service.js";

/** Global, because every request's guard asks it who is calling. */
@Global()
@Module({
  imports: [NoticesModule],
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
    ErasedHandlesRepository,
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
    OpenStreams,
  ],
  exports: [AccountsService, SetupService, CREDENTIAL_READER, OpenStreams],
})
export class AccountsModule {}
