import { ask, Refusal } from "./service.js";

interface Opened {
  readonly token: string;
}

const JSON_BODY = { "content-type": "application/json" };

/** A session at the public API. Its token is in this page's memory alone, and is gone with it. */
export class Session {
  private constructor(private readonly token: string) {}

  /** @throws Refusal when handle or password are wrong */
  static async open(handle: string, password: string): Promise<Session> {
    return Session.by("/v1/sessions", { handle, password });
  }

  /**
   * With the code of a sign-in at the identity provider.
   *
   * @param handle wanted of who signs in for the first time
   * @throws Refusal `handle-required` where that is missing
   */
  static openByCode(code: string, verifier: string, handle: string | null): Promise<Session> {
    return Session.by("/v1/sign-ins", { code, verifier, ...(handle === null ? {} : { handle }) });
  }

  private static async by(path: string, body: object): Promise<Session> {
    const { token } = await ask<Opened>(path, { method: "POST", headers: JSON_BODY, body: JSON.stringify(body) });
    return new Session(token);
  }

  /** Ends it at the service too, when the page has forgotten it; one that has ended is well. */
  async close(): Promise<void> {
    try {
      const open = await this.list<{ readonly id: string; readonly current: boolean }>("/v1/sessions");
      const own = open.find(({ current }) => current);
      if (own) await ask(`/v1/sessions/${own.id}`, { method: "DELETE", headers: this.fields() });
    } catch (error) {
      if (!(error instanceof Refusal) || error.status === 401) return;
      throw new Refusal(
        `This page has forgotten the sign-in, but the service could not be told to end it: ${error.message}`,
      );
    }
  }

  /** Every item of a list of one's own. */
  async list<T>(path: string): Promise<T[]> {
    const items: T[] = [];
    let after: string | null = null;
    do {
      const page: { items: T[]; pageInfo: { hasNextPage: boolean; endCursor: string } } = await this.get(
        `${path}?first=100${after === null ? "" : `&after=${encodeURIComponent(after)}`}`,
      );
      items.push(...page.items);
      after = page.pageInfo.hasNextPage ? page.pageInfo.endCursor : null;
    } while (after !== null);
    return items;
  }

  get<T>(path: string): Promise<T> {
    return ask(path, { headers: this.fields() });
  }

  /** Sends something once: a repeat under the same key is answered as the first was. @throws Refusal */
  post<T>(path: string, key: string, body: FormData): Promise<T> {
    return ask(path, { method: "POST", headers: { ...this.fields(), "idempotency-key": key }, body });
  }

  /** Sends a change. @throws Refusal */
  send<T>(method: "POST" | "PUT" | "PATCH" | "DELETE", path: string, body?: object): Promise<T> {
    if (body === undefined) return ask(path, { method, headers: this.fields() });
    return ask(path, { method, headers: { ...this.fields(), ...JSON_BODY }, body: JSON.stringify(body) });
  }

  private fields(): Record<string, string> {
    return { accept: "application/json", authorization: `Bearer ${this.token}` };
  }
}
