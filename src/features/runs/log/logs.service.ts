import { Injectable } from "@nestjs/common";
import type { Caller } from "../../../platform/auth/account.js";
import { RunsService } from "../runs.service.js";
import { LogsRepository } from "./logs.repository.js";

@Injectable()
export class LogsService {
  constructor(
    private readonly runsService: RunsService,
    private readonly logsRepository: LogsRepository,
  ) {}

  /**
   * The uploaded bytes, exactly, with their media type and digest (RFC 9530, which replaced the older `Digest` field).
   * They are offered as a file, never for a browser to show.
   */
  async get(
    id: string,
    caller: Caller | null,
  ): Promise<{ chunks: AsyncIterable<Uint8Array>; headers: Record<string, string> }> {
    const run = await this.runsService.visible(id, caller);
    const { sha256, bytes, mediaType, fileName } = await this.logsRepository.ofRun(run.id);
    const digest = Buffer.from(sha256);
    return {
      chunks: this.logsRepository.read(sha256),
      headers: {
        "content-type": mediaType,
        "content-length": String(bytes),
        "content-disposition": `attachment; filename*=UTF-8''${encodeRfc8187(fileName)}`,
        "repr-digest": `sha-256=:${digest.toString("base64")}:`,
        etag: `"${digest.toString("hex")}"`,
      },
    };
  }
}

/** Text as an extended header parameter (RFC 8187). */
function encodeRfc8187(text: string): string {
  return encodeURIComponent(text).replace(
    /['()*]/g,
    (character) => `%${character.charCodeAt(0).toString(16).toUpperCase()}`,
  );
}
