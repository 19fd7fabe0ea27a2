import { Questioner } from "./ask.js";
import { ServiceClient, succeeded } from "./service-client.js";
import { keepToken } from "./sessions.js";

/** Opens a session and keeps its token for later commands; or keeps the token that PACKLEDGER_TOKEN holds. */
export async function login({ server }: { readonly server: string }): Promise<void> {
  const given = process.env.PACKLEDGER_TOKEN;
  const token = given || (await openSession(server));
  if (given) await new ServiceClient(server, given).get("/v1/benches?first=1");
  const file = await keepToken(server, token);
  console.log(`The session at ${server} is kept in ${file}.`);
}

async function openSession(server: string): Promise<string> {
  const { handle, password } = await credentials();
  const answer = await new ServiceClient(server, null).send("POST", "/v1/sessions", { json: { handle, password } });
  return String(succeeded(answer).token);
}

async function credentials(): Promise<{ readonly handle: string; readonly password: string }> {
  const questioner = new Questioner();
  try {
    return { handle: await questioner.ask("Handle: "), password: await questioner.askSecret("Password: ") };
  } finally {
    questioner.close();
  }
}
