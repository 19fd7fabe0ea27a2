import { createClient } from "graphql-ws";
import type { TypedDocumentString } from "./generated/graphql.js";

/** A service as an app talks to it: queries over HTTP, subscriptions over WebSocket, logs as forms. */
export class Service {
  constructor(
    private readonly url: string,
    private readonly authorization: string,
  ) {}

  async ask<Result, Variables>(
    document: TypedDocumentString<Result, Variables>,
    variables: Variables,
  ): Promise<Result> {
    const answer = await fetch(`${this.url}/graphql`, {
      method: "POST",
      headers: {
        "content-type": "application/json",
        accept: "application/graphql-response+json",
        authorization: this.authorization,
      },
      body: JSON.stringify({ query: document.toString(), variables }),
    });
    const { data, errors } = (await answer.json()) as { data?: Result; errors?: readonly { message: string }[] };
    if (!data || errors) throw new Error(errors?.map(({ message }) => message).join(" ") ?? String(answer.status));
    return data;
  }

  async *follow<Result, Variables extends Record<string, unknown>>(
    document: TypedDocumentString<Result, Variables>,
    variables: Variables,
  ): AsyncGenerator<Result> {
    const client = createClient({
      url: `${this.url.replace("http", "ws")}/graphql`,
      connectionParams: { authorization: this.authorization },
      retryAttempts: 0,
    });
    try {
      for await (const { data } of client.iterate<Result>({ query: document.toString(), variables })) {
        if (data) yield data;
      }
    } finally {
      await client.dispose();
    }
  }

  /** Uploads a log; the id of its run. */
  async upload(run: object, log: Blob, fileName: string): Promise<string> {
    const form = new FormData();
    form.append("run", JSON.stringify(run));
    form.append("log", log, fileName);
    const headers = { authorization: this.authorization };
    const answer = await fetch(`${this.url}/v1/runs`, { method: "POST", headers, body: form });
    if (!answer.ok) throw new Error(await answer.text());
    return ((await answer.json()) as { id: string }).id;
  }
}
