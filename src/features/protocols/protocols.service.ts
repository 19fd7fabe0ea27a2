import { isDeepStrictEqual } from "node:util";
import { Injectable, Logger } from "@nestjs/common";
import { PROTOCOLS, type ProtocolDocument } from "../../core/protocol/index.js";
import type { Protocol } from "../../generated/prisma/client.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../platform/paging/page.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { type ActiveProtocol, ActiveVersionService } from "./active-version.service.js";
import { ProtocolsRepository } from "./protocols.repository.js";
import type { ProtocolView } from "./protocols.views.js";

const keyText = /^[a-z][a-z0-9-]{0,63}$/;

@Injectable()
export class ProtocolsService {
  private readonly logger = new Logger("Protocols");

  constructor(
    private readonly protocolsRepository: ProtocolsRepository,
    private readonly activeVersionService: ActiveVersionService,
  ) {}

  /**
   * Puts the protocols of this program into the record. A version that was published is never another one later:
   * where the record and the program differ, the program refuses to run, unless an administrator was first to publish
   * a version of that number, which then stays.
   */
  async publish(documents: readonly ProtocolDocument[] = PROTOCOLS): Promise<void> {
    await this.protocolsRepository.insertMissing(documents);
    for (const document of documents) {
      const stored = await this.protocolsRepository.find(document.key, document.version);
      if (isDeepStrictEqual(stored?.document, JSON.parse(JSON.stringify(document)))) continue;
      if (stored?.publishedById) {
        this.logger.warn(`${document.key} version ${document.version} is one that an administrator published`);
      } else {
        throw new Error(
          `Protocol ${document.key} version ${document.version} was published with another content. ` +
            "A published version never changes: give the change a version of its own.",
        );
      }
    }
    await this.activeVersionService.insertMissing(documents);
  }

  /** A version of a protocol, or its newest. */
  async get(key: string, version?: number | null): Promise<ProtocolView> {
    const protocol = keyText.test(key) ? await this.find(key, version) : null;
    if (!protocol) throw notFound("protocol");
    return protocolView(protocol, await this.activeVersionService.find(key));
  }

  /**
   * The version of a protocol that an input names, or the newest.
   *
   * @throws Problem unknown-reference at the member that names nothing, with what there is in its place
   */
  async named(key: string, version?: number | null): Promise<ProtocolView> {
    const newest = keyText.test(key) ? await this.find(key) : null;
    if (!newest) {
      const keys = (await this.list({})).items.map((protocol) => protocol.key);
      throw namesNone("/protocol", `There is no such protocol. Those that exist: ${keys.join(", ")}.`);
    }
    const protocol = version ? await this.find(key, version) : newest;
    if (!protocol) {
      const detail = `The protocol ${key} has no version ${version}. Its newest is ${newest.version}; leave the version out for that.`;
      throw namesNone("/protocolVersion", detail);
    }
    return protocolView(protocol, await this.activeVersionService.find(key));
  }

  /** The document of a published version, as evaluations take it. */
  async document(key: string, version: number): Promise<ProtocolDocument> {
    const protocol = await this.protocolsRepository.find(key, version);
    if (!protocol) throw notFound("protocol");
    return protocol.document as unknown as ProtocolDocument;
  }

  async list(args: PageArgs): Promise<Page<ProtocolView>> {
    const page = await readPage(args, {
      name: "protocols",
      keys: ["text"],
      read: (window) => this.protocolsRepository.listNewest(window),
      count: () => this.protocolsRepository.countKeys(),
      keyOf: ({ key }) => [key],
    });
    const active = new Map((await this.activeVersionService.list()).map((one) => [one.protocol.key, one]));
    return mapPage(page, (protocol) => protocolView(protocol, active.get(protocol.key) ?? null));
  }

  private find(key: string, version?: number | null): Promise<Protocol | null> {
    return version ? this.protocolsRepository.find(key, version) : this.protocolsRepository.findNewest(key);
  }
}

function namesNone(pointer: string, detail: string): Problem {
  return new Problem("unknown-reference", detail, { errors: [{ pointer, message: "names none that exists" }] });
}

function protocolView({ key, version, document, publishedAt }: Protocol, active: ActiveProtocol | null): ProtocolView {
  const { title, summary } = document as unknown as ProtocolDocument;
  return {
    key,
    version,
    title,
    summary,
    publishedAt: publishedAt.toISOString(),
    active: active?.protocol.version === version,
    activeVersion: active?.protocol.version ?? null,
    document: document as object,
  };
}
