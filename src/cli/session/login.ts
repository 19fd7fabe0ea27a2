import { createHash, randomBytes } from "node:crypto";
import { fstatSync } from "node:fs";
import { UsageError } from "../usage-error.js";
import { Questioner } from "./ask.js";
import { ServiceClient, succeeded } from "./service-client.js";
import { keepToken } from "./sessions.js";

interface LoginOptions {
  readonly server: string;
  /** Sign in at the service's identity provider, in a browser. */
  readonly browser?: true;
}

/** Opens a session and keeps its token for later commands; or keeps the token that PACKLEDGER_TOKEN holds. */
export async function login({ server, browser }: LoginOptions): Promise<void> {
  const given = process.env.PACKLEDGER_TOKEN;
  const token = given || (await (browser ? signIn(server) : openSession(server)));
  if (given) await new ServiceClient(server, given).get("/v1/benches?first=1");
  const file = await keepToken(server, token);
  console.log(`The session at ${server} is kept in ${file}.`);
}

async function openSession(server: string): Promise<string> {
  requireSomebody();
  const { handle, password } = await credentials();
  const answer = await new ServiceClient(server, null).send("POST", "/v1/sessions", { json: { handle, password } });
  return String(succeeded(answer).token);
}

/** Nobody can answer where standard input is neither a terminal nor holds the answers. */
function requireSomebody(): void {
  const { isTTY } = process.stdin;
  if (isTTY || !fstatSync(0).isCharacterDevice()) return;
  throw new UsageError(
    "There is no terminal to ask at. Set PACKLEDGER_TOKEN, or send handle and password as two lines.",
  );
}

/** What comes back through the browser is worth nothing without the verifier, which stays in this process. */
async function signIn(server: string): Promise<string> {
  const verifier = randomBytes(32).toString("base64url");
  const challenge = createHash("sha256").update(verifier).digest("base64url");
  console.error(`Open this address in a browser and sign in:\n  ${server}/v1/sign-ins/start?challenge=${challenge}`);
  const questioner = new Questioner();
  const client = new ServiceClient(server, null);
  try {
    const proof = { code: await questioner.askSecret("Code: "), verifier };
    const answer = await client.send("POST", "/v1/sign-ins", { json: proof });
    if (answer.body.type !== "/problems/handle-required") return String(succeeded(answer).token);
    const handle = await questioner.ask("You are new here. Handle: ");
    return String(succeeded(await client.send("POST", "/v1/sign-ins", { json: { ...proof, handle } })).token);
  } finally {
    questioner.close();
  }
}

async function credentials(): Promise<{ readonly handle: string; readonly password: string }> {
  const questioner = new Questioner();
  try {
    return { handle: await questioner.ask("Handle: "), password: await questioner.askSecret("Password: ") };
  } finally {
    questioner.close();
  }
}
