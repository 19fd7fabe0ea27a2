import { Injectable } from "@nestjs/common";
import type { Caller, CredentialReader } from "../../platform/auth/account.js";
import { KEY_PREFIX } from "../../platform/auth/tokens.js";
import { KeysService } from "./keys/keys.service.js";
import { SessionsService } from "./sessions/sessions.service.js";

/** Tells who sent a request by what came with it: a session's token or a key. */
@Injectable()
export class Credentials implements CredentialReader {
  constructor(
    private readonly sessionsService: SessionsService,
    private readonly keysService: KeysService,
  ) {}

  callerOf(credential: string): Promise<Caller | null> {
    return credential.startsWith(KEY_PREFIX)
      ? this.keysService.callerOf(credential)
      : this.sessionsService.callerOf(credential);
  }

  again({ credentialId, scopes }: Caller): Promise<Caller | null> {
    return scopes === null ? this.sessionsService.again(credentialId) : this.keysService.again(credentialId);
  }
}
