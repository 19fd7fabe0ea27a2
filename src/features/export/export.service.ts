import type { Readable } from "node:stream";
import { Injectable } from "@nestjs/common";
import type { Caller } from "../../platform/auth/account.js";
import { type ArchiveFile, archiveOf } from "../../platform/files/archive.js";
import { Problem } from "../../platform/problems/problem.js";
import { LogsService } from "../runs/log/logs.service.js";
import { RunsService } from "../runs/runs.service.js";
import { ExportRepository } from "./export.repository.js";

/** Archives that a process makes at a time; each reads all that a tester has. */
const MAX_AT_ONCE = 2;

const README = `Everything that this service keeps of you and what you uploaded.

account.json       your account; passwords, tokens and keys are stored as digests and are not here
identities.json    under which names you sign in elsewhere
mail-address.json  where notices are mailed to
webhooks.json      where notices are sent, without the secrets
keys.json          your keys for programs, without the keys
packs.json         packs that you registered
specimens.json     your specimens of packs
benches.json       your benches
column-maps.json   your statements of what columns are
runs/ID/run.json   a run: what you declared, every figure with its uncertainty, every finding, and what was decided
runs/ID/log/...    its log, byte for byte as you uploaded it, unless it was refused and removed since
`;

/** All that belongs to a tester, to be taken away. */
@Injectable()
export class ExportService {
  private running = 0;

  constructor(
    private readonly exportRepository: ExportRepository,
    private readonly runsService: RunsService,
    private readonly logsService: LogsService,
  ) {}

  /**
   * A ZIP archive of it, made while it is read.
   *
   * @throws Problem too-busy when too many are made already
   */
  archive(caller: Caller): Readable {
    if (this.running >= MAX_AT_ONCE)
      throw new Problem("too-busy", "Too many archives are being made. Try again later.");
    this.running++;
    const archive = archiveOf(this.files(caller));
    archive.once("close", () => this.running--);
    return archive;
  }

  private async *files(caller: Caller): AsyncGenerator<ArchiveFile> {
    yield { path: "README.txt", content: Buffer.from(README) };
    for (const [name, rows] of Object.entries(await this.exportRepository.registered(caller.id))) {
      yield { path: `${name}.json`, content: asJson(rows) };
    }
    for await (const id of this.exportRepository.runIds(caller.id)) {
      const run = await this.runsService.get(id, caller);
      yield { path: `runs/${id}/run.json`, content: asJson(run) };
      const log = await this.logOf(id, caller);
      if (log) yield { path: `runs/${id}/log/${fileName(log.fileName)}`, content: log.read() };
    }
  }

  /** null when its bytes were removed. */
  private async logOf(id: string, caller: Caller) {
    try {
      return await this.logsService.get(id, caller);
    } catch (error) {
      if (error instanceof Problem && error.code === "log-removed") return null;
      throw error;
    }
  }
}

const asJson = (content: unknown): Buffer => Buffer.from(`${JSON.stringify(content, null, 2)}\n`);

/** A name from elsewhere that leads nowhere else on the disk of who unpacks it. */
function fileName(name: string): string {
  const plain = name.replace(/[\\/:*?"<>|\p{Cc}]/gu, "_").replace(/^\.+/, "_");
  return plain === "" ? "log" : plain;
}
