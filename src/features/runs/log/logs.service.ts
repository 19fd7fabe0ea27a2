import { Injectable } from "@nestjs/common";
import type { Caller } from "../../../platform/auth/account.js";
import { RunsService } from "../runs.service.js";
import { isPacked, MAGIC_BYTES } from "./is-packed.js";
import { LogsRepository } from "./logs.repository.js";

@Injectable()
export class LogsService {
  constructor(
    private readonly runsService: RunsService,
    private readonly logsRepository: LogsRepository,
  ) {}

  /**
   * The uploaded bytes, exactly, with their media type. They are offered as a file, never for a browser to show.
   *
   * @param mayCompress whether the answer may be compressed on its way, as far as its client says
   */
  async get(id: string, caller: Caller | null, mayCompress: boolean): Promise<LogAnswer> {
    const run = await this.runsService.visible(id, caller);
    const { sha256, bytes, mediaType, fileName } = await this.logsRepository.ofRun(run.id);
    const isCompressed = mayCompress && !isPacked(await this.logsRepository.firstBytes(sha256, MAGIC_BYTES));
    return {
      chunks: this.logsRepository.read(sha256),
      isCompressed,
      headers: {
        "content-type": mediaType,
        "content-length": String(bytes),
        "content-disposition": `attachment; filename*=UTF-8''${encodeRfc8187(fileName)}`,
        "cache-control": run.review === "accepted" ? PUBLIC_FOR_GOOD : "private, no-cache",
        ...digestFields(Buffer.from(sha256), isCompressed),
      },
    };
  }
}

/** A log as it is sent. */
export interface LogAnswer {
  readonly chunks: AsyncIterable<Uint8Array>;
  /** Whether it is to be compressed on its way; else it must go out as it is. */
  readonly isCompressed: boolean;
  readonly headers: Readonly<Record<string, string>>;
}

/** A log never changes (RFC 8246), but a run may leave the record: caches forget its log after a week. */
const PUBLIC_FOR_GOOD = "public, max-age=604800, immutable";

/**
 * Entity tag and digest. The tag of the very bytes is strong; compressed, they are another representation, which has a weak
 * tag (RFC 9110, 8.8.3.3) and whose own digest (RFC 9530) is not known: the field says that of the bytes within
 * (draft-ietf-httpbis-unencoded-digest-04, from memory).
 */
function digestFields(sha256: Buffer, isCompressed: boolean): Record<string, string> {
  const digest = `sha-256=:${sha256.toString("base64")}:`;
  const tag = `"${sha256.toString("hex")}"`;
  return isCompressed ? { etag: `W/${tag}`, "unencoded-digest": digest } : { etag: tag, "repr-digest": digest };
}

/** Text as an extended header parameter (RFC 8187). */
function encodeRfc8187(text: string): string {
  return encodeURIComponent(text).replace(
    /['()*]/g,
    (character) => `%${character.charCodeAt(0).toString(16).toUpperCase()}`,
  );
}
