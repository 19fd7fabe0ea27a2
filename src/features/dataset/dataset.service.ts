import { join } from "node:path";
import { Inject, Injectable, type OnModuleInit } from "@nestjs/common";
import { CONFIG, type Config } from "../../platform/config/config.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { JobQueue } from "../../platform/queue/job-queue.js";
import { ChangesService } from "../changes/changes.service.js";
import type { StoredLog } from "../runs/log/logs.service.js";
import { DatasetRepository, WRITE_DATASET } from "./dataset.repository.js";
import { DatasetFolder, dayOf, FORMAT, type Snapshot } from "./dataset-folder.js";
import { descriptorOf, mediaTypeOf, pathOf } from "./descriptor.js";
import { FORMATS } from "./part.js";
import { writeSnapshot } from "./write-snapshot.js";

/** How often requests have a missing snapshot made, ms. */
const ASK_AGAIN_MS = 60_000;
/** After midnight, UTC, when the day's snapshot is made. */
const DAILY_SECONDS = 300;
const DAY_MS = 86_400_000;

/** Daily snapshots of the public record, made by the queue and read from disk. */
@Injectable()
export class DatasetService implements OnModuleInit {
  private readonly allFolders: string;
  private folder: DatasetFolder | null = null;
  private askedAt = 0;

  constructor(
    private readonly datasetRepository: DatasetRepository,
    private readonly changesService: ChangesService,
    private readonly jobQueue: JobQueue,
    @Inject(CONFIG) config: Config,
  ) {
    this.allFolders = join(config.dataFolder, "dataset");
  }

  onModuleInit(): void {
    this.jobQueue.handle(WRITE_DATASET, async (payload) => {
      await this.write();
      if ((payload as { isDaily: boolean }).isDaily) await this.datasetRepository.queue("daily", untilTomorrow());
    });
  }

  /** Has a snapshot made now, unless the day has one, and one on every day from then on. */
  beginDaily(): Promise<void> {
    return this.datasetRepository.queue("daily", 0);
  }

  /** @throws Problem not-ready while there is none */
  async newest(): Promise<Snapshot> {
    const snapshot = await this.newestServed();
    if (!snapshot || dayOf(snapshot) !== today()) await this.ask();
    if (snapshot) return snapshot;
    throw new Problem("not-ready", "The snapshot is being made. Try again in a minute.", {
      extensions: { retryAfterSeconds: 60 },
    });
  }

  /** @throws Problem not-found for a snapshot that there is not, or is no longer */
  async find(id: string): Promise<Snapshot> {
    const snapshot = await (await this.ownFolder()).find(id);
    if (!snapshot || !(await this.mayServe(snapshot))) throw notFound("snapshot");
    return snapshot;
  }

  /** @param base what stands ahead of the paths of its files, as seen from where the descriptor is read */
  describe(snapshot: Snapshot, base: string): object {
    const changes = `/v1/changes?after=${this.changesService.cursorAt(snapshot.newest)}`;
    return descriptorOf(snapshot, base, changes);
  }

  /** @throws Problem not-found for a file that the snapshot does not have */
  async file(id: string, path: string): Promise<StoredLog> {
    const folder = await this.ownFolder();
    for (const part of (await this.find(id)).parts) {
      const format = FORMATS.find((one) => pathOf(part, one) === path);
      if (!format) continue;
      const { sha256, bytes } = part.files[format];
      return {
        bytes,
        sha256: Buffer.from(sha256, "hex"),
        mediaType: mediaTypeOf(format),
        fileName: path.slice(path.lastIndexOf("/") + 1),
        isPublic: true,
        isPacked: async () => format === "parquet",
        read: (range) => folder.read(sha256, range),
      };
    }
    throw notFound("file");
  }

  /** Makes a snapshot unless today's stands. */
  async write(): Promise<void> {
    const folder = await this.ownFolder();
    await folder.prepare();
    await writeSnapshot(this.datasetRepository.connectionString, folder);
  }

  private async newestServed(): Promise<Snapshot | null> {
    for await (const snapshot of (await this.ownFolder()).snapshots()) {
      if (await this.mayServe(snapshot)) return snapshot;
    }
    return null;
  }

  /** That of the record that the database holds now: an empty one may be filled from a backup while the service runs. */
  private async ownFolder(): Promise<DatasetFolder> {
    const recordId = await this.changesService.recordId();
    if (this.folder?.recordId !== recordId) this.folder = new DatasetFolder(this.allFolders, recordId);
    return this.folder;
  }

  /** A snapshot from before an erasure has the erased name; one of changes that a restore has lost is of another record. */
  private async mayServe({ format, newest }: Snapshot): Promise<boolean> {
    if (format !== FORMAT) return false;
    const { isOfHistory, hasErasureAfter } = await this.datasetRepository.since(newest);
    return isOfHistory && !hasErasureAfter;
  }

  private async ask(): Promise<void> {
    if (Date.now() - this.askedAt < ASK_AGAIN_MS) return;
    this.askedAt = Date.now();
    await this.datasetRepository.queue("asked", 0);
  }
}

const today = (): string => new Date().toISOString().slice(0, 10);
const untilTomorrow = (): number => Math.ceil((DAY_MS - (Date.now() % DAY_MS)) / 1_000) + DAILY_SECONDS;
