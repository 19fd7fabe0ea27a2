import { byId } from "../elements.js";
import { Refusal } from "./service.js";
import { Session } from "./session.js";

/** How a person signs in: with a password, or with the code that a sign-in at the identity provider ends with. */
export class SignIn {
  private readonly form = byId<HTMLFormElement>("sign-in");
  private readonly elsewhere = byId<HTMLDetailsElement>("elsewhere");
  private verifier = "";

  constructor() {
    this.elsewhere.addEventListener("toggle", () => this.elsewhere.open && void this.begin());
  }

  /** @throws Refusal */
  byPassword(): Promise<Session> {
    const entered = new FormData(this.form);
    return Session.open(String(entered.get("handle")), String(entered.get("password")));
  }

  /** @throws Refusal; where a handle is wanted, its field is shown */
  async byCode(): Promise<Session> {
    const entered = new FormData(byId<HTMLFormElement>("sign-in-code"));
    const [code, handle] = ["code", "newHandle"].map((name) => String(entered.get(name) ?? "").trim());
    try {
      return await Session.openByCode(code ?? "", this.verifier, handle || null);
    } catch (error) {
      if (error instanceof Refusal && error.code === "handle-required") byId("new-handle").hidden = false;
      throw error;
    }
  }

  /** Shown while nobody is signed in. */
  show(isSignedOut: boolean): void {
    this.form.reset();
    byId<HTMLFormElement>("sign-in-code").reset();
    byId("sign-in-ways").hidden = !isSignedOut;
    byId("signed-in").hidden = isSignedOut;
    this.elsewhere.open = false;
  }

  /** A sign-in elsewhere belongs to who knows the verifier, of which the address shows the SHA-256 alone (RFC 7636, 4.2). */
  private async begin(): Promise<void> {
    const link = byId<HTMLAnchorElement>("begin-elsewhere");
    this.verifier = base64url(crypto.getRandomValues(new Uint8Array(32)));
    const challenge = base64url(
      new Uint8Array(await crypto.subtle.digest("SHA-256", new TextEncoder().encode(this.verifier))),
    );
    link.href = `/v1/sign-ins/start?challenge=${challenge}`;
  }
}

const base64url = (bytes: Uint8Array): string =>
  btoa(String.fromCharCode(...bytes))
    .replaceAll("+", "-")
    .replaceAll("/", "_")
    .replaceAll("=", "");
