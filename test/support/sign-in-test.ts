import { createHash, randomBytes } from "node:crypto";
import type { Config } from "../../src/platform/config/config.js";
import { startTestApp, type TestApp } from "./app.js";
import { Browser, type Page } from "./browser.js";
import { startOpenIdProvider } from "./start-openid-provider.js";

export type Headers = { authorization: string };

/** The service as its people know it; the browser of the tests is told where it really is. */
export const HOME = "http://localhost:1";
/** Of the client that the provider knows. */
export const CLIENT = { clientId: "packs", clientSecret: "a secret of the tests alone" };

/** What a client sends for a session: the code that came back, and the verifier that it kept. */
export interface Proof {
  readonly code: string;
  readonly verifier: string;
}

/** The service beside a real identity provider, and people who sign in there. */
export interface SignInTest {
  readonly app: TestApp;
  readonly issuer: string;
  newBrowser(): Browser;
  /** Goes through the provider's own login and consent as a person would; `start` is the query of the first address. */
  comeBack(browser: Browser, person: string, start: string, stopAt?: RegExp | null): Promise<Page>;
  /** A whole sign-in in a new browser: what the client has then. */
  signIn(person: string): Promise<Proof>;
  post(url: string, payload: object, headers?: Partial<Headers>): ReturnType<typeof send>;
  /** The account of a session, as it sees itself. */
  meOf(token: string): Promise<unknown>;
  close(): Promise<void>;
}

/** A client that keeps a verifier to itself. */
export function newClient() {
  const verifier = randomBytes(32).toString("base64url");
  return { verifier, challenge: createHash("sha256").update(verifier).digest("base64url") };
}

export async function startSignInTest(settings: Partial<Config> = {}): Promise<SignInTest> {
  const redirectUrl = `${HOME}/v1/sign-ins/callback`;
  const provider = await startOpenIdProvider({ ...CLIENT, redirectUrl });
  const urls = { issuer: new URL(provider.issuer), redirectUrl: new URL(redirectUrl) };
  const app = await startTestApp({ ...settings, identityProvider: { ...urls, ...CLIENT } });
  const newBrowser = () => new Browser({ [HOME]: app.url });
  const comeBack: SignInTest["comeBack"] = async (browser, person, start, stopAt = null) => {
    const login = await browser.open(`${HOME}/v1/sign-ins/start?${start}`, null, stopAt);
    if (!login.text.includes('name="login"')) return login;
    const consent = await browser.send(login, { login: person, password: "any" }, stopAt);
    return browser.send(consent, {}, stopAt);
  };
  return {
    app,
    issuer: provider.issuer,
    newBrowser,
    comeBack,
    async signIn(person) {
      const { verifier, challenge } = newClient();
      const page = await comeBack(newBrowser(), person, `challenge=${challenge}`);
      return { code: (JSON.parse(page.text) as { code: string }).code, verifier };
    },
    post: (url, payload, headers = {}) => send(app, url, payload, headers),
    async meOf(token) {
      return (await app.inject({ url: "/v1/accounts/me", headers: { authorization: `Bearer ${token}` } })).json();
    },
    async close() {
      await app.close();
      await provider.stop();
    },
  };
}

const send = (app: TestApp, url: string, payload: object, headers: Partial<Headers>) =>
  app.inject({ method: "POST", url, payload, headers });
