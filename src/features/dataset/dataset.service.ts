import { join } from "node:path";
import { Inject, Injectable, Logger, type OnModuleInit } from "@nestjs/common";
import { CONFIG, type Config } from "../../platform/config/config.js";
import { Metrics } from "../../platform/metrics/metrics.js";
import type { ObjectStorage } from "../../platform/object-storage/object-storage.js";
import { OBJECT_STORAGE } from "../../platform/object-storage/object-storage.module.js";
import { ObjectStorageUnavailable } from "../../platform/object-storage/unavailable.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { JobQueue } from "../../platform/queue/job-queue.js";
import { ChangesService } from "../changes/changes.service.js";
import type { StoredLog } from "../runs/log/logs.service.js";
import { DatasetRepository, WRITE_DATASET } from "./dataset.repository.js";
import type { DatasetStore } from "./dataset-store.js";
import { descriptorOf, mediaTypeOf, pathOf } from "./descriptor.js";
import { FolderStore } from "./folder-store.js";
import { ObjectStore } from "./object-store.js";
import { FORMATS } from "./part.js";
import { dayOf, FORMAT, type Snapshot, Snapshots } from "./snapshots.js";
import { writeSnapshot } from "./write-snapshot.js";

/** How often requests have a missing snapshot made, ms. */
const ASK_AGAIN_MS = 60_000;
/** After midnight, UTC, when the day's snapshot is made. */
const DAILY_SECONDS = 300;
const DAY_MS = 86_400_000;
/** Until a snapshot is tried again whose storage could not be used. */
const STORAGE_AWAY_SECONDS = 60;

type Kind = "asked" | "daily";

/** Daily snapshots of the public record, made by the queue, and read from a folder or from object storage. */
@Injectable()
export class DatasetService implements OnModuleInit {
  private readonly logger = new Logger("Dataset");
  private readonly allFolders: string;
  private snapshots: Snapshots | null = null;
  private askedAt = 0;

  constructor(
    private readonly datasetRepository: DatasetRepository,
    private readonly changesService: ChangesService,
    private readonly jobQueue: JobQueue,
    private readonly metrics: Metrics,
    @Inject(OBJECT_STORAGE) private readonly objectStorage: ObjectStorage | null,
    @Inject(CONFIG) config: Config,
  ) {
    this.allFolders = join(config.dataFolder, "dataset");
  }

  onModuleInit(): void {
    this.jobQueue.handle(WRITE_DATASET, (payload) =>
      this.writeInTurn((payload as { isDaily: boolean }).isDaily ? "daily" : "asked"),
    );
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
    const snapshot = await (await this.own()).find(id);
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
    const { store } = await this.own();
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
        read: (range = { start: 0, end: bytes - 1 }) => store.read(sha256, range),
      };
    }
    throw notFound("file");
  }

  /** Makes a snapshot unless today's stands. */
  async write(): Promise<void> {
    const snapshots = await this.own();
    await snapshots.store.prepare();
    await writeSnapshot(this.datasetRepository.connectionString, snapshots);
  }

  /** Nobody gives up a snapshot whose storage cannot be used, however long that takes. */
  private async writeInTurn(kind: Kind): Promise<void> {
    try {
      await this.write();
    } catch (error) {
      if (!(error instanceof ObjectStorageUnavailable)) throw error;
      this.metrics.failedJobs.inc({ task: WRITE_DATASET });
      this.logger.error(`no snapshot was made, and it is tried again: ${error.message}`);
      await this.datasetRepository.queue(kind, STORAGE_AWAY_SECONDS);
      return;
    }
    if (kind === "daily") await this.datasetRepository.queue("daily", untilTomorrow());
  }

  private async newestServed(): Promise<Snapshot | null> {
    const snapshots = await this.own();
    // That there is none is not believed for a moment.
    for (const ids of [() => snapshots.recentIds(), () => snapshots.ids()]) {
      for await (const snapshot of snapshots.each(await ids())) if (await this.mayServe(snapshot)) return snapshot;
    }
    return null;
  }

  /** That of the record that the database holds now: an empty one may be filled from a backup while the service runs. */
  private async own(): Promise<Snapshots> {
    const recordId = await this.changesService.recordId();
    if (this.snapshots?.recordId !== recordId) this.snapshots = new Snapshots(this.storeOf(recordId), recordId);
    return this.snapshots;
  }

  private storeOf(recordId: string): DatasetStore {
    return this.objectStorage
      ? new ObjectStore(this.objectStorage, this.allFolders, recordId)
      : new FolderStore(this.allFolders, recordId);
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
