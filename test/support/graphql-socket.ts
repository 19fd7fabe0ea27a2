export interface SocketAnswer {
  readonly data?: unknown;
  readonly errors?: readonly { readonly extensions?: { readonly code?: string } }[];
}

interface Message {
  readonly id?: string;
  readonly type: string;
  readonly payload?: unknown;
}

export interface GraphqlSocket {
  /** The answers of one subscription; errors are the last of them. */
  subscribe(query: string, variables: object): AsyncGenerator<SocketAnswer>;
  close(): void;
  /** The code that the socket is closed with. */
  readonly closed: Promise<number>;
}

/** Speaks the GraphQL over WebSocket protocol (sub-protocol graphql-transport-ws). */
export async function openGraphqlSocket(url: string, connectionInit: object): Promise<GraphqlSocket> {
  const socket = new WebSocket(`${url.replace("http", "ws")}/graphql`, "graphql-transport-ws");
  const received: Message[] = [];
  let wake = () => {};
  socket.addEventListener("message", ({ data }) => {
    received.push(JSON.parse(String(data)));
    wake();
  });
  const closed = new Promise<number>((resolve) => {
    socket.addEventListener("close", ({ code }) => resolve(code), { once: true });
  });
  const next = async (): Promise<Message> => {
    for (;;) {
      const message = received.shift();
      if (message) return message;
      await new Promise<void>((resolve) => {
        wake = resolve;
      });
    }
  };
  const send = (message: Message) => socket.send(JSON.stringify(message));
  await new Promise((resolve, reject) => {
    socket.addEventListener("open", resolve, { once: true });
    socket.addEventListener("error", reject, { once: true });
  });
  send({ type: "connection_init", payload: connectionInit });
  const answer = await next();
  if (answer.type !== "connection_ack") throw new Error(`the socket was answered ${answer.type}`);
  return {
    async *subscribe(query, variables) {
      send({ id: "1", type: "subscribe", payload: { query, variables } });
      for (;;) {
        const { type, payload } = await next();
        if (type === "complete") return;
        if (type === "error") {
          yield { errors: payload as NonNullable<SocketAnswer["errors"]> };
          return;
        }
        if (type === "next") yield payload as SocketAnswer;
      }
    },
    close: () => socket.close(),
    closed,
  };
}
