import { Injectable } from "@nestjs/common";
import type { InputError } from "../../core/inputs/input-error.js";
import { findInvalidText } from "../../core/inputs/invalid-text.js";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import { protocolProblems } from "../../core/protocol/problems.js";
import { AuditLog } from "../../platform/audit-log/audit-log.js";
import type { Caller } from "../../platform/auth/account.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { Problem } from "../../platform/problems/problem.js";
import { ProtocolsRepository } from "./protocols.repository.js";
import { ProtocolsService } from "./protocols.service.js";
import type { ProtocolView } from "./protocols.views.js";

/** Takes up further versions of protocols. A version becomes active once the runs were evaluated under it. */
@Injectable()
export class PublicationService {
  constructor(
    private readonly protocolsRepository: ProtocolsRepository,
    private readonly protocolsService: ProtocolsService,
    private readonly auditLog: AuditLog,
  ) {}

  /** Publishes the next version of a protocol, for good. */
  async publish(key: string, document: unknown, caller: Caller): Promise<ProtocolView> {
    const next = await this.requireNext(key, document);
    const isNew = await this.auditLog.transaction(async (tx) => {
      const published = await this.protocolsRepository.insert(tx, next, caller.id);
      const subject = { kind: "protocol", id: `${next.key}/${next.version}` } as const;
      if (published) this.auditLog.record(tx, { actorId: caller.id, event: "publish", subject, to: "published" });
      return published;
    });
    if (!isNew) throw new Problem("already-exists", `Version ${next.version} was published just now by someone else.`);
    return this.protocolsService.get(next.key, next.version);
  }

  /**
   * A document as the next version of a protocol.
   *
   * @param at where the document stands in what was sent (RFC 6901)
   * @throws Problem with everything that keeps it from being one, each with its JSON pointer
   */
  async requireNext(key: string, document: unknown, at = ""): Promise<ProtocolDocument> {
    const { version } = await this.protocolsService.get(key);
    const unreadable = findInvalidText(document);
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

const faulty = (faults: readonly InputError[], at: string): Problem =>
  invalidInput(faults.map((fault) => ({ ...fault, pointer: `${at}${fault.pointer}` })));
