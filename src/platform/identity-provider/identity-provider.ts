import { Inject, Injectable, Logger } from "@nestjs/common";
import {
  AuthorizationResponseError,
  allowInsecureRequests,
  authorizationCodeGrant,
  buildAuthorizationUrl,
  ClientError,
  ClientSecretBasic,
  type Configuration,
  calculatePKCECodeChallenge,
  discovery,
  enableNonRepudiationChecks,
  ResponseBodyError,
} from "openid-client";
import { CONFIG, type Config, type IdentityProviderConfig } from "../config/config.js";
import { Problem } from "../problems/problem.js";
import { type BrowserBinding, derived } from "./browser-binding.js";

const TIMEOUT_SECONDS = 10;

/** Who somebody is at the provider: unique and never given to another (OpenID Connect Core 1.0, 2 and 5.7). */
export interface ProvenIdentity {
  readonly issuer: string;
  readonly subject: string;
}

/** Signs people in at the provider of OpenID Connect that the configuration names, by an authorization code with PKCE. */
@Injectable()
export class IdentityProvider {
  private readonly logger = new Logger("IdentityProvider");
  private found: Promise<Configuration> | undefined;

  constructor(@Inject(CONFIG) private readonly config: Config) {}

  /** @throws Problem `not-found` where no provider is set up */
  settings(): IdentityProviderConfig {
    const { identityProvider } = this.config;
    if (!identityProvider)
      throw new Problem("not-found", "No identity provider is set up here. Sign in with a password.");
    return identityProvider;
  }

  /** Where the browser is sent. Asks for nothing about the person but who it is. */
  async address(binding: BrowserBinding): Promise<string> {
    const { redirectUrl } = this.settings();
    const parameters = {
      redirect_uri: redirectUrl.href,
      scope: "openid",
      state: derived(binding, "state"),
      nonce: derived(binding, "nonce"),
      code_challenge: await calculatePKCECodeChallenge(derived(binding, "code verifier")),
      code_challenge_method: "S256",
    };
    return buildAuthorizationUrl(await this.configuration(), parameters).href;
  }

  /**
   * Who signed in, when the provider's answer belongs to what this browser began: state, issuer, code verifier, and the
   * signature, audience, times and nonce of the ID token are checked.
   *
   * @param query query of the callback's address, with its question mark
   * @throws Problem `sign-in-failed`
   */
  async whoSignedIn(query: string, binding: BrowserBinding): Promise<ProvenIdentity> {
    const callback = new URL(this.settings().redirectUrl);
    callback.search = query;
    const configuration = await this.configuration();
    try {
      const tokens = await authorizationCodeGrant(configuration, callback, {
        pkceCodeVerifier: derived(binding, "code verifier"),
        expectedState: derived(binding, "state"),
        expectedNonce: derived(binding, "nonce"),
        idTokenExpected: true,
      });
      const claims = tokens.claims();
      if (!claims) throw new Error("an ID token was expected and is not there");
      return { issuer: claims.iss, subject: claims.sub };
    } catch (error) {
      if (!isRefusal(error)) throw this.unreachable(error);
      // What the provider or the caller wrote is not logged: it may hold the code.
      this.logger.warn(`a sign-in was not confirmed: ${error.code ?? error.name}`);
      const detail = "Begin again: the answer of the provider was a refusal, or does not belong to this sign-in.";
      throw new Problem("sign-in-failed", detail, { cause: error });
    }
  }

  /** What the provider says of itself, asked for once; after a failure, again. */
  private configuration(): Promise<Configuration> {
    this.found ??= this.discover().catch((error: unknown) => {
      this.found = undefined;
      throw this.unreachable(error);
    });
    return this.found;
  }

  private discover(): Promise<Configuration> {
    const { issuer, clientId, clientSecret } = this.settings();
    // The configuration lets http through for this machine alone.
    const execute = issuer.protocol === "http:" ? [allowInsecureRequests] : [];
    return discovery(issuer, clientId, undefined, ClientSecretBasic(clientSecret), {
      execute: [...execute, enableNonRepudiationChecks],
      timeout: TIMEOUT_SECONDS,
    });
  }

  private unreachable(cause: unknown): Problem {
    this.logger.error(`the identity provider cannot be asked: ${String(cause)}`);
    return new Problem("provider-unreachable", "The identity provider does not answer as it should.", { cause });
  }
}

function isRefusal(error: unknown): error is Error & { code?: string } {
  const kinds = [AuthorizationResponseError, ResponseBodyError, ClientError];
  return kinds.some((kind) => error instanceof kind);
}
