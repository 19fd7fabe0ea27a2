import { Injectable } from "@nestjs/common";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import { protocolProblems } from "../../core/protocol/problems.js";
import type { Caller } from "../../platform/auth/account.js";
import { invalidInput } from "../../platform/http/input.pipe.js";
import { findUnreadable } from "../../platform/http/readable.js";
import { type Fault, Problem } from "../../platform/problems/problem.js";
import { Happenings } from "../../platform/record/happenings.js";
import { ProtocolsRepository } from "./protocols.repository.js";
import { ProtocolsService } from "./protocols.service.js";
import type { ProtocolView } from "./protocols.views.js";

/** Takes up further versions of protocols. Nothing counts under one until the runs were evaluated under it. */
@Injectable()
export class PublicationService {
  constructor(
    private readonly protocols: ProtocolsRepository,
    private readonly views: ProtocolsService,
    private readonly happenings: Happenings,
  ) {}

  /** Publishes the next version of a protocol, for good. */
  async publish(key: string, document: unknown, caller: Caller): Promise<ProtocolView> {
    const next = await this.requireNext(key, document);
    const isNew = await this.happenings.transaction(async (tx) => {
      const published = await this.protocols.insert(tx, next, caller.id);
      const subject = { kind: "protocol", id: `${next.key}/${next.version}` } as const;
      if (published) this.happenings.tell(tx, { actorId: caller.id, event: "publish", subject, to: "published" });
      return published;
    });
    if (!isNew) throw new Problem("already-exists", `Version ${next.version} was published just now by someone else.`);
    return this.views.get(next.key, next.version);
  }

  /**
   * A document as the next version of a protocol.
   *
   * @param at where the document stands in what was sent (RFC 6901)
   * @throws Problem with everything that keeps it from being one, each with its JSON pointer
   */
  async requireNext(key: string, document: unknown, at = ""): Promise<ProtocolDocument> {
    const { version } = await this.views.get(key);
    const unreadable = findUnreadable(document);
    if (unreadable) throw faulty([unreadable], at);
    const problems = protocolProblems(document);
    if (problems.length > 0) throw faulty(problems, at);
    const next = document as ProtocolDocument;
    const faults = [];
    if (next.key !== key) faults.push({ pointer: "/key", message: `must be ${key}` });
    if (next.version !== version + 1) faults.push({ pointer: "/version", message: `must be ${version + 1}, the next` });
    if (faults.length > 0) throw faulty(faults, at);
    return next;
  }
}

const faulty = (faults: readonly Fault[], at: string): Problem =>
  invalidInput(faults.map((fault) => ({ ...fault, pointer: `${at}${fault.pointer}` })));
