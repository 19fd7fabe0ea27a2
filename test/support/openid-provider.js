// Run as a process of its own: told a client, it tells the issuer that it is.
import { generateKeyPairSync } from "node:crypto";
import { createServer } from "node:http";
import Provider from "oidc-provider";

function run({ clientId, clientSecret, redirectUrl }) {
  const server = createServer();
  server.listen(0, "127.0.0.1", () => {
    const issuer = `http://127.0.0.1:${server.address().port}`;
    const { privateKey } = generateKeyPairSync("rsa", { modulusLength: 2048 });
    const provider = new Provider(issuer, {
      clients: [{ client_id: clientId, client_secret: clientSecret, redirect_uris: [redirectUrl] }],
      cookies: { keys: ["a key for the tests alone"] },
      jwks: { keys: [{ ...privateKey.export({ format: "jwk" }), use: "sig", alg: "RS256" }] },
      pkce: { required: () => true },
    });
    server.on("request", provider.callback());
    process.send(issuer);
  });
}

process.once("message", run);
process.once("disconnect", () => process.exit());
