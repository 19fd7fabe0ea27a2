import { createHmac, randomBytes } from "node:crypto";

/**
 * Ties a sign-in to the browser that began it, in a cookie. The service keeps nothing meanwhile: state, nonce and code
 * verifier of the request follow from one secret, so that no other browser's callback fits.
 */
export interface BrowserBinding {
  readonly secret: string;
  /** SHA-256, base64url, of what the client that began it must prove to know. */
  readonly challenge: string;
  /** Path of this service that the browser is sent back to; null when the code is just shown. */
  readonly returnTo: string | null;
}

export const BINDING_COOKIE = "packledger-sign-in";
export const BINDING_SECONDS = 600;

/** 32 bytes as base64url. */
export const CHALLENGE_PATTERN = /^[\w-]{43}$/;

export function newBinding(challenge: string, returnTo: string | null): BrowserBinding {
  return { secret: randomBytes(32).toString("base64url"), challenge, returnTo };
}

export function cookieOf({ secret, challenge, returnTo }: BrowserBinding): string {
  return [secret, challenge, Buffer.from(returnTo ?? "").toString("base64url")].join(".");
}

/** What a cookie says; null when it is none of this service. */
export function bindingOf(cookie: string | undefined): BrowserBinding | null {
  const [secret = "", challenge = "", path = ""] = cookie?.split(".") ?? [];
  if (!CHALLENGE_PATTERN.test(secret) || !CHALLENGE_PATTERN.test(challenge)) return null;
  const returnTo = Buffer.from(path, "base64url").toString();
  if (returnTo !== "" && !isOwnPath(returnTo)) return null;
  return { secret, challenge, returnTo: returnTo || null };
}

/** One of the values that the provider's answer is held against. */
export function derived({ secret }: BrowserBinding, use: "state" | "nonce" | "code verifier"): string {
  return createHmac("sha256", secret).update(use).digest("base64url");
}

/**
 * Whether a path leads nowhere but to this service. Browsers take "//" and, like "/", "\" for the start of another host's
 * name (WHATWG URL Standard, 4.4), and leave tabs and line breaks out.
 */
export function isOwnPath(path: string): boolean {
  if (!/^\/(?![/\\])[\x21-\x7e]*$/.test(path) || /[\\#]/.test(path)) return false;
  const anywhere = "https://this-service.invalid";
  return URL.canParse(path, anywhere) && new URL(path, anywhere).origin === anywhere;
}
