import { generateKeyPairSync, type KeyObject, sign } from "node:crypto";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";

type Claims = Record<string, unknown>;

/** How an answer of the provider departs from an honest one. */
export interface Forgery {
  /** Claims that are put in place of the honest ones; undefined takes one away. */
  readonly claims?: Claims;
  /** Signed by a key that the provider has not published. */
  readonly byStranger?: true;
  /** Not signed at all. */
  readonly unsigned?: true;
  readonly withoutIdToken?: true;
}

export interface ForgingProvider {
  readonly issuer: string;
  /** What the next answers are like. */
  next(nonce: string, forgery: Forgery): void;
  stop(): Promise<void>;
}

const encoded = (value: object) => Buffer.from(JSON.stringify(value)).toString("base64url");

function tokenOf(claims: Claims, key: KeyObject | null): string {
  const head = encoded({ alg: key ? "RS256" : "none", kid: "published" });
  const text = `${head}.${encoded(claims)}`;
  return `${text}.${key ? sign("RSA-SHA256", Buffer.from(text), key).toString("base64url") : ""}`;
}

/** A provider of OpenID Connect that answers whatever a test wants; real ones do not lie on request. */
export async function startForgingProvider(clientId: string): Promise<ForgingProvider> {
  const pair = () => generateKeyPairSync("rsa", { modulusLength: 2048 });
  const [published, strangers] = [pair(), pair()];
  let [issuer, nonce, forgery] = ["", "", {} as Forgery];
  const idToken = () => {
    const now = Math.floor(Date.now() / 1000);
    const honest = { iss: issuer, sub: "subject-1", aud: clientId, iat: now, exp: now + 60, nonce };
    const key = forgery.byStranger ? strangers.privateKey : published.privateKey;
    return tokenOf({ ...honest, ...forgery.claims }, forgery.unsigned ? null : key);
  };
  const answers: Readonly<Record<string, () => object>> = {
    "/.well-known/openid-configuration": () => ({
      issuer,
      authorization_endpoint: `${issuer}/auth`,
      token_endpoint: `${issuer}/token`,
      jwks_uri: `${issuer}/jwks`,
      response_types_supported: ["code"],
      subject_types_supported: ["public"],
      id_token_signing_alg_values_supported: ["RS256", "none"],
      authorization_response_iss_parameter_supported: true,
    }),
    "/jwks": () => ({
      keys: [{ ...published.publicKey.export({ format: "jwk" }), kid: "published", use: "sig", alg: "RS256" }],
    }),
    "/token": () => ({
      access_token: "unused",
      token_type: "Bearer",
      ...(forgery.withoutIdToken ? {} : { id_token: idToken() }),
    }),
  };
  const server = createServer((request, response) => {
    const answer = answers[request.url ?? ""];
    response.writeHead(answer ? 200 : 404, { "content-type": "application/json" });
    response.end(answer ? JSON.stringify(answer()) : "{}");
  });
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  issuer = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  return {
    issuer,
    next(itsNonce, itsForgery) {
      [nonce, forgery] = [itsNonce, itsForgery];
    },
    stop: () => new Promise((resolve) => server.close(() => resolve())),
  };
}
