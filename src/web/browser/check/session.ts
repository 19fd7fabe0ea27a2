/** What the API refused something by (RFC 9457). */
export class Refusal extends Error {}

interface ProblemBody {
  readonly title?: string;
  readonly detail?: string;
  readonly errors?: readonly { readonly pointer?: string; readonly message: string }[];
}

/** A session at the public API. Its token is in this page's memory alone, and is gone with it. */
export class Session {
  private constructor(private readonly token: string) {}

  /** @throws Refusal when handle or password are wrong */
  static async open(handle: string, password: string): Promise<Session> {
    const { token } = await ask<{ token: string }>("/v1/sessions", {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ handle, password }),
    });
    return new Session(token);
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
  post<T>(path: string, key: string, body: FormData | object): Promise<T> {
    const isForm = body instanceof FormData;
    return ask(path, {
      method: "POST",
      headers: { ...this.fields(), "idempotency-key": key, ...(isForm ? {} : { "content-type": "application/json" }) },
      body: isForm ? body : JSON.stringify(body),
    });
  }

  private fields(): Record<string, string> {
    return { accept: "application/json", authorization: `Bearer ${this.token}` };
  }
}

async function ask<T>(path: string, request: RequestInit): Promise<T> {
  const answer = await fetch(path, request).catch(() => {
    throw new Refusal("The service cannot be reached. Nothing was sent; try again when there is a connection.");
  });
  if (answer.ok) return answer.json() as Promise<T>;
  const { title, detail, errors = [] } = (await answer.json().catch(() => ({}))) as ProblemBody;
  const places = errors.map(({ pointer, message }) => `${pointer ?? ""} ${message}`.trim());
  throw new Refusal([detail ?? title ?? `Status ${answer.status}`, ...places].join(" \u00b7 "));
}
