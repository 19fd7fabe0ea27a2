import type { WebSocket } from "@fastify/websocket";
import { CloseCode, type WebSocket as ProtocolSocket } from "graphql-ws";
import { MessageAllowance } from "./message-allowance.js";
import { type Translation, translationOf } from "./subprotocols.js";

export interface GuardLimits {
  /** How often a client is asked whether it lives; one that has not answered by the next time is gone. */
  readonly pingEveryMs: number;
  /** How long a socket without a subscription stays open. */
  readonly idleMs: number;
  /** What may wait to be sent to a client that does not read. */
  readonly unsentBytes: number;
}

/** RFC 6455, 7.4.1. */
const NORMAL_CLOSURE = 1_000;
const INTERNAL_ERROR = 1_011;

/** Holds one socket to its limits: how much it says, how long it does nothing, whether it reads and lives. */
export class SocketGuard {
  private readonly translation: Translation;
  private readonly allowance = new MessageAllowance();
  private readonly pings: NodeJS.Timeout;
  private idle: NodeJS.Timeout | undefined;
  private isAlive = true;

  constructor(
    private readonly socket: WebSocket,
    private readonly limits: GuardLimits,
  ) {
    this.translation = translationOf(socket.protocol);
    this.pings = setInterval(() => this.ping(), limits.pingEveryMs);
    this.setBusy(false);
    socket.on("pong", () => {
      this.isAlive = true;
    });
    this.onClose(() => {
      clearInterval(this.pings);
      clearTimeout(this.idle);
    });
  }

  onClose(end: () => void): void {
    if (this.isOpen) this.socket.once("close", end);
    else end();
  }

  /** A socket that waits for something is not idle. */
  setBusy(isBusy: boolean): void {
    clearTimeout(this.idle);
    if (!isBusy && this.isOpen)
      this.idle = setTimeout(() => this.socket.close(NORMAL_CLOSURE, "Idle"), this.limits.idleMs);
  }

  /** Closes the socket once what is being said now was sent. */
  forbid(reason: string): void {
    setImmediate(() => this.socket.close(CloseCode.Forbidden, reason));
  }

  asProtocolSocket(): ProtocolSocket {
    return {
      protocol: this.translation.protocol,
      send: (message) => this.send(this.translation.toClient(message)),
      close: (code, reason) => this.socket.close(code, reason),
      onMessage: (take) => {
        this.socket.on("message", (data) => this.receive(data, take));
      },
    };
  }

  private get isOpen(): boolean {
    return this.socket.readyState === this.socket.OPEN;
  }

  private receive(data: unknown, take: (message: string) => Promise<void>): void {
    if (!this.isOpen) return;
    if (!this.allowance.take()) {
      this.socket.close(CloseCode.TooManyInitialisationRequests, "Too many messages");
      // What it has sent already is not read any more.
      this.socket.pause();
      setImmediate(() => this.socket.terminate());
      return;
    }
    const message = this.translation.fromClient(String(data));
    if (message === null) this.socket.close(NORMAL_CLOSURE);
    else take(message).catch(() => this.socket.close(INTERNAL_ERROR, "Internal error"));
  }

  private async send(message: string): Promise<void> {
    if (!this.isOpen) return;
    if (this.socket.bufferedAmount > this.limits.unsentBytes) {
      this.socket.terminate();
      return;
    }
    await new Promise<void>((resolve) => this.socket.send(message, () => resolve()));
  }

  private ping(): void {
    if (!this.isAlive) {
      this.socket.terminate();
      return;
    }
    this.isAlive = false;
    this.socket.ping();
    if (this.translation.signOfLife) void this.send(this.translation.signOfLife);
  }
}
