import { statfs } from "node:fs/promises";
import { tmpdir } from "node:os";
import { Inject, Injectable, Logger } from "@nestjs/common";
import { CONFIG, type Config } from "../config/config.js";
import { isStorageUnavailable } from "../database/errors.js";
import { Problem } from "../problems/problem.js";
import { StorageRepository } from "./storage.repository.js";

const MIB = 2 ** 20;
/** Room that uploads leave, bytes: the database needs some to go on, and to come back after a crash. */
const RESERVE_BYTES = 256 * MIB;
/** Of a small file system, the share that they leave. */
const RESERVE_SHARE = 0.1;
/** How long the size of all logs holds once it was read, ms: each upload asks for it twice. By what is stored meanwhile the cap may be passed. */
const SIZE_HOLDS_MS = 1_000;
/** An upload is written to the database's log and to its table. */
const COPIES_IN_DATABASE = 2;

/** Whether there is room to store what is uploaded. Reading goes on when there is none. */
@Injectable()
export class Storage {
  private readonly logger = new Logger("Storage");
  private hasFailed = false;
  private probing: Promise<string | null> | undefined;
  /** Of all logs, and when it was asked for, in ms of `performance`. */
  private size = { bytes: 0, at: Number.NEGATIVE_INFINITY };

  constructor(
    private readonly storageRepository: StorageRepository,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /**
   * For what is going to be stored, before it is received and again once its size is known.
   *
   * @param bytes its size, as far as it is known
   * @throws Problem `storage-unavailable`
   */
  async requireRoom(bytes: number): Promise<void> {
    refuseFor((await this.lackOfSpace(bytes)) ?? (await this.lackUnderCap(bytes)));
  }

  /**
   * For what is only received, looked at and dropped.
   *
   * @param bytes its size, as far as it is known
   * @throws Problem `storage-unavailable`
   */
  async requireSpace(bytes: number): Promise<void> {
    refuseFor(await this.lackOfSpace(bytes));
  }

  /** Notes that something could not be stored, when that is what an error says. */
  noteFailure(error: unknown): void {
    if (!isStorageUnavailable(error) || this.hasFailed) return;
    this.hasFailed = true;
    this.logger.error(`nothing can be stored: ${error instanceof Error ? error.message : String(error)}`);
  }

  /** Why nothing can be stored now, as a sentence; null when there is room. After a failure it is tried. */
  async trouble(): Promise<string | null> {
    const reason = (await this.lackOfSpace(0)) ?? (await this.lackUnderCap(1));
    if (reason || !this.hasFailed) return reason;
    // Whoever asks meanwhile hears of the same try.
    this.probing ??= this.probe().finally(() => {
      this.probing = undefined;
    });
    return this.probing;
  }

  private async probe(): Promise<string | null> {
    try {
      await this.storageRepository.probe();
    } catch (error) {
      if (!isStorageUnavailable(error)) throw error;
      return "The database cannot store anything: its disk is full, or it is read-only.";
    }
    this.hasFailed = false;
    this.logger.warn("things can be stored again");
    return null;
  }

  private async lackOfSpace(bytes: number): Promise<string | null> {
    const { databaseUrl, dataFolder } = this.config;
    const folders = [
      { folder: tmpdir(), needed: bytes },
      ...(databaseUrl === null ? [{ folder: dataFolder, needed: bytes * COPIES_IN_DATABASE }] : []),
    ];
    for (const { folder, needed } of folders) {
      const space = await spaceOf(folder);
      if (space && space.free - needed < Math.min(RESERVE_BYTES, space.total * RESERVE_SHARE))
        return "The service's disk is nearly full.";
    }
    return null;
  }

  private async lackUnderCap(bytes: number): Promise<string | null> {
    const { storageMebibytes } = this.config;
    return (await this.storedBytes()) + bytes > storageMebibytes * MIB
      ? `The service stores ${storageMebibytes} MiB of logs at most, and that is used up.`
      : null;
  }

  private async storedBytes(): Promise<number> {
    const at = performance.now();
    if (at - this.size.at > SIZE_HOLDS_MS) this.size = { bytes: await this.storageRepository.storedBytes(), at };
    return this.size.bytes;
  }
}

function refuseFor(reason: string | null): void {
  if (reason)
    throw new Problem("storage-unavailable", `${reason} Send the same again later; nothing of it was stored.`);
}

/** Null where there is no such folder, as when an embedded database is not what is used. */
async function spaceOf(folder: string): Promise<{ free: number; total: number } | null> {
  try {
    const { bavail, blocks, bsize } = await statfs(folder);
    return { free: bavail * bsize, total: blocks * bsize };
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return null;
    throw error;
  }
}
