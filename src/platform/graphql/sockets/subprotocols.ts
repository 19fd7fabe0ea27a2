import { GRAPHQL_TRANSPORT_WS_PROTOCOL } from "graphql-ws";

export const MAX_MESSAGE_BYTES = 32 * 1024;

/** The older protocol, which is named `graphql-ws`, says the same in other words. */
const OLDER = "graphql-ws";
const NEWER_WORDS: Readonly<Record<string, string>> = { start: "subscribe", stop: "complete" };
const OLDER_WORDS: Readonly<Record<string, string>> = { next: "data" };

/** The subprotocol that is spoken with a client who offers these; none when none is known. */
export function subprotocolOf(offered: Set<string>): string | false {
  return [GRAPHQL_TRANSPORT_WS_PROTOCOL, OLDER].find((one) => offered.has(one)) ?? false;
}

/** How the messages of a subprotocol are carried over to those of graphql-transport-ws. */
export interface Translation {
  /** The subprotocol as the library knows it. */
  readonly protocol: string;
  /** A client's message for the library; null asks to end the connection. */
  fromClient(message: string): string | null;
  /** The library's message for the client. */
  toClient(message: string): string;
  /** What tells a client now and then that the connection lives; null where the frames of WebSocket themselves do. */
  readonly signOfLife: string | null;
}

export function translationOf(protocol: string): Translation {
  if (protocol !== OLDER) return { protocol, fromClient: (one) => one, toClient: (one) => one, signOfLife: null };
  return {
    protocol: GRAPHQL_TRANSPORT_WS_PROTOCOL,
    fromClient: (text) => {
      const message = readObject(text);
      if (!message) return text;
      if (message.type === "connection_terminate") return null;
      return JSON.stringify({ ...message, type: NEWER_WORDS[String(message.type)] ?? message.type });
    },
    toClient: (text) => {
      const message = JSON.parse(text) as { type: string };
      return JSON.stringify({ ...message, type: OLDER_WORDS[message.type] ?? message.type });
    },
    signOfLife: JSON.stringify({ type: "ka" }),
  };
}

function readObject(text: string): Record<string, unknown> | null {
  try {
    const value: unknown = JSON.parse(text);
    return typeof value === "object" && value !== null && !Array.isArray(value) ? { ...value } : null;
  } catch {
    // The library closes the connection for it.
    return null;
  }
}
