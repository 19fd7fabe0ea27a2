import type { WebSocket } from "@fastify/websocket";
import type { FastifyRequest } from "fastify";
import type { GraphQLSchema } from "graphql";
import { CloseCode, makeServer, type Server } from "graphql-ws";
import type { CredentialReader } from "../../auth/account.js";
import { CredentialEnded } from "../../auth/open-streams.js";
import { clientOf } from "../../client/client.js";
import type { RequestLimits } from "../../limits/request-limits.js";
import { Problem } from "../../problems/problem.js";
import { asSubscriptionError } from "../subscriptions.js";
import { formatEvent } from "./format-event.js";
import { Room } from "./room.js";
import { type GuardLimits, SocketGuard } from "./socket-guard.js";
import { credentialOf, requestWith } from "./socket-request.js";
import { subscriptionOf } from "./subscription.js";

interface Places {
  readonly ofOne: number;
  readonly ofAll: number;
}

export interface SocketLimits extends GuardLimits {
  readonly ofAddress: Places;
  readonly ofAccount: Places;
}

export const SOCKET_LIMITS: SocketLimits = {
  ofAddress: { ofOne: 50, ofAll: 1_000 },
  ofAccount: { ofOne: 30, ofAll: 1_000 },
  pingEveryMs: 15_000,
  idleMs: 120_000,
  unsentBytes: 256 * 1024,
};
const MAX_SUBSCRIPTIONS = 20;
const MAX_SILENCE_MS = 5_000;

interface Socket {
  readonly guard: SocketGuard;
  readonly request: FastifyRequest;
}

/** Subscriptions over WebSocket, in both subprotocols, within limits for each socket, address and account. */
export class SocketServer {
  private readonly ofAddress: Room;
  private readonly ofAccount: Room;
  private readonly server: Server<Socket>;

  constructor(
    schema: () => GraphQLSchema,
    credentials: () => CredentialReader,
    requests: () => Pick<RequestLimits, "count" | "refuseTooMany">,
    private readonly limits = SOCKET_LIMITS,
  ) {
    this.ofAddress = new Room(limits.ofAddress);
    this.ofAccount = new Room(limits.ofAccount);
    this.server = makeServer<Record<string, unknown>, Socket>({
      connectionInitWaitTimeout: MAX_SILENCE_MS,
      onConnect: async ({ extra, connectionParams }) => {
        const credential = credentialOf(extra.request, connectionParams);
        if (credential === undefined) return true;
        const caller = credential === null ? null : await credentials().callerOf(credential);
        // Closed with 4403. Taken for nobody, a client whose session has ended would wait for what never comes.
        if (!caller) return false;
        if (!this.ofAccount.hasFor(caller.id)) return false;
        extra.guard.onClose(this.ofAccount.take(caller.id));
        return true;
      },
      onSubscribe: async ({ extra, connectionParams, subscriptions }, _, parameters) => {
        extra.guard.setBusy(true);
        const isTooMany = Object.keys(subscriptions).length > MAX_SUBSCRIPTIONS;
        const request = requestWith(extra.request, connectionParams);
        try {
          await requests().count(request);
          requests().refuseTooMany(request);
        } catch (error) {
          return [asSubscriptionError(error)];
        }
        return subscriptionOf(schema(), parameters, request, isTooMany);
      },
      onNext: (_, __, ___, ____, result) => formatEvent(result),
      onError: ({ extra, subscriptions }, id, _, errors) => {
        extra.guard.setBusy(hasOthers(subscriptions, id));
        const hasEnded = errors.some(({ originalError }) => originalError instanceof CredentialEnded);
        if (hasEnded) extra.guard.forbid("The session or key has ended");
        return errors.map((error) =>
          ("code" in error.extensions ? error : asSubscriptionError(error.originalError ?? error)).toJSON(),
        );
      },
      onComplete: ({ extra, subscriptions }, id) => extra.guard.setBusy(hasOthers(subscriptions, id)),
    });
  }

  /** @throws Problem `too-many-requests` when an address has as many sockets as it may, or the service as it can */
  checkRoom(request: FastifyRequest): void {
    if (this.ofAddress.hasFor(clientOf(request).network)) return;
    throw new Problem(
      "too-many-requests",
      `An address may hold ${this.limits.ofAddress.ofOne} sockets. Close one first.`,
    );
  }

  serve(socket: WebSocket, request: FastifyRequest): void {
    const guard = new SocketGuard(socket, this.limits);
    guard.onClose(this.ofAddress.take(clientOf(request).network));
    const closed = this.server.opened(guard.asProtocolSocket(), { guard, request });
    socket.on("close", (code, reason) => void closed(code, String(reason)));
    if (socket.protocol === "") socket.close(CloseCode.SubprotocolNotAcceptable, "Subprotocol not acceptable");
  }
}

/** Whether a socket waits for something beside what ends: that is no longer among them where the client has ended it. */
function hasOthers(subscriptions: object, endedId: string): boolean {
  return Object.keys(subscriptions).some((id) => id !== endedId);
}
