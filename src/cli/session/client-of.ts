import { ServiceClient } from "./service-client.js";
import { storedTokenFor, tokenFor } from "./sessions.js";

export interface ServerOption {
  readonly server: string;
}

/** A client with the session that is kept for a server, which is needed. */
export const signedIn = async ({ server }: ServerOption) => new ServiceClient(server, await tokenFor(server));

/** A client for what anyone may read, with the session where one is kept. */
export const anyone = async ({ server }: ServerOption) => new ServiceClient(server, await storedTokenFor(server));
