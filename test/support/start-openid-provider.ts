import { fork } from "node:child_process";
import { once } from "node:events";
import { fileURLToPath } from "node:url";

/** The client that the provider knows. */
export interface ProviderClient {
  readonly clientId: string;
  readonly clientSecret: string;
  readonly redirectUrl: string;
}

export interface RunningProvider {
  readonly issuer: string;
  stop(): Promise<void>;
}

/** A real provider of OpenID Connect in a process of its own, which lets anyone in under the name that they type. */
export async function startOpenIdProvider(client: ProviderClient): Promise<RunningProvider> {
  const script = fileURLToPath(new URL("openid-provider.js", import.meta.url));
  const child = fork(script, { stdio: ["ignore", "ignore", "ignore", "ipc"], execArgv: [] });
  const said = once(child, "message");
  child.send(client);
  const [issuer] = await Promise.race([said, once(child, "exit").then(() => Promise.reject(new Error("it ended")))]);
  return {
    issuer: String(issuer),
    async stop() {
      const ended = once(child, "exit");
      child.disconnect();
      await ended;
    },
  };
}
