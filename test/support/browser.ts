/** Where a browser came to, and what it was shown. */
export interface Page {
  readonly status: number;
  /** With its fragment. */
  readonly address: URL;
  readonly text: string;
}

/** As much of a browser as a sign-in needs: it keeps cookies, follows redirections and sends forms. */
export class Browser {
  private readonly cookies = new Map<string, Map<string, string>>();
  /** Every address that it asked. */
  readonly visited: string[] = [];

  /** @param hosts where a host that is named in addresses is really reached */
  constructor(private readonly hosts: Readonly<Record<string, string>>) {}

  async open(address: string | URL, form: URLSearchParams | null = null, stopAt: RegExp | null = null): Promise<Page> {
    let [at, body] = [new URL(address), form];
    for (let steps = 0; steps < 20; steps++) {
      if (stopAt?.test(at.href)) return { status: 0, address: at, text: "" };
      const response = await this.ask(at, body);
      const location = response.headers.get("location");
      if (!location) return { status: response.status, address: at, text: await response.text() };
      [at, body] = [new URL(location, at), null];
    }
    throw new Error("too many redirections");
  }

  /** Sends the only form of a page with what a person typed. */
  send(page: Page, typed: Readonly<Record<string, string>>, stopAt: RegExp | null = null): Promise<Page> {
    const action = /<form[^>]* action="([^"]+)"/.exec(page.text)?.[1];
    if (!action) throw new Error(`there is no form at ${page.address.href}`);
    const hidden = [...page.text.matchAll(/<input type="hidden" name="([^"]+)" value="([^"]*)"/g)];
    const fields = new URLSearchParams(hidden.map(([, name = "", value = ""]): [string, string] => [name, value]));
    for (const [name, value] of Object.entries(typed)) fields.set(name, value);
    return this.open(new URL(action, page.address), fields, stopAt);
  }

  private async ask(at: URL, body: URLSearchParams | null): Promise<Response> {
    this.visited.push(at.href);
    const jar = this.cookies.get(at.host) ?? new Map<string, string>();
    this.cookies.set(at.host, jar);
    const real = new URL(at.pathname + at.search, this.hosts[at.origin] ?? at.origin);
    const cookie = [...jar].map(([name, value]) => `${name}=${value}`).join("; ");
    const headers = cookie ? { cookie } : undefined;
    const response = await fetch(real, {
      method: body ? "POST" : "GET",
      redirect: "manual",
      ...(headers ? { headers } : {}),
      ...(body ? { body } : {}),
    });
    for (const set of response.headers.getSetCookie()) {
      const [name = "", value = ""] = (set.split(";", 1)[0] ?? "").split(/=(.*)/s);
      if (value === "" || /expires=Thu, 01 Jan 1970/i.test(set)) jar.delete(name);
      else jar.set(name, value);
    }
    return response;
  }
}
