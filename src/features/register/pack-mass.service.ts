import { Injectable, type OnModuleInit } from "@nestjs/common";
import { isReference } from "../../core/record/status.js";
import { contradicts, type WeighedMass, weighedMass } from "../../core/record/weighed-mass.js";
import { Problem } from "../../platform/problems/problem.js";
import { JobQueue } from "../../platform/queue/job-queue.js";
import { NoticeWriter } from "../notices/notice-writer.service.js";
import { PackPeople } from "../notices/pack-people.service.js";
import { StandingsService } from "../rankings/standings.service.js";
import { RecordsService } from "../records/records.service.js";
import { OutdatedRunsService } from "../runs/evaluation/outdated-runs.service.js";
import { WEIGH_PACK } from "../specimens/specimens.service.js";
import { RegisterRepository } from "./register.repository.js";

/** Makes the mass of a pack what reference testers weigh, whoever registered another: figures per mass move with it in full. */
@Injectable()
export class PackMassService implements OnModuleInit {
  constructor(
    private readonly registerRepository: RegisterRepository,
    private readonly recordsService: RecordsService,
    private readonly standingsService: StandingsService,
    private readonly outdatedRunsService: OutdatedRunsService,
    private readonly jobQueue: JobQueue,
    private readonly packPeople: PackPeople,
    private readonly noticeWriter: NoticeWriter,
  ) {}

  onModuleInit(): void {
    this.jobQueue.handle(WEIGH_PACK, (payload) => this.weigh((payload as { packId: string }).packId));
  }

  /** Registers what was weighed of a pack where its mass contradicts that; its runs are evaluated anew then. */
  async weigh(packId: string): Promise<void> {
    const weighed = await this.weighed(packId);
    if (!weighed || !contradicts(await this.registerRepository.massOf(packId), weighed)) return;
    await this.registerRepository.transaction(async (tx) => {
      await this.outdatedRunsService.lockRunsOf(tx, packId);
      const registrants = await this.packPeople.registrantsOf(tx, [packId]);
      await this.noticeWriter.hold(tx, registrants);
      await this.standingsService.lockAll(tx, [packId]);
      const pack = await this.registerRepository.lockPack(tx, packId);
      if (!pack || pack.mergedIntoId || !contradicts(pack.massGrams, weighed)) return;
      const event = {
        actorId: null,
        event: "weigh",
        from: JSON.stringify({ massGrams: pack.massGrams }),
        to: JSON.stringify({ massGrams: weighed.grams }),
        reason: `The median of what ${weighed.testers} reference testers weighed.`,
      };
      await this.standingsService.beforeCorrection(tx, packId);
      await this.registerRepository.updatePack(tx, packId, { massGrams: weighed.grams }, event);
      const reasonOf = { kind: "pack", id: packId, event: "weigh" } as const;
      const notice = {
        kind: "pack-corrected",
        subjectId: packId,
        facts: { changed: ["massGrams"] },
        reasonOf,
      } as const;
      await this.noticeWriter.tell(
        tx,
        registrants.map((accountId) => ({ ...notice, accountId })),
      );
      await this.outdatedRunsService.markRunsOf(tx, packId);
      await this.standingsService.refreshAll(tx, [packId]);
    });
  }

  /** Refuses a mass that contradicts what reference testers weighed. */
  async requireAgreement(packId: string, massGrams: number | null): Promise<void> {
    const weighed = await this.weighed(packId);
    if (!weighed || !contradicts(massGrams, weighed)) return;
    const detail = `Reference testers (${weighed.testers}) weighed ${weighed.grams} g: correct the mass of a specimen that was weighed wrongly.`;
    throw new Problem("decision-not-possible", detail);
  }

  private async weighed(packId: string): Promise<WeighedMass | null> {
    const { weighings, policy } = await this.registerRepository.transaction(async (tx) => ({
      weighings: await this.registerRepository.weighings(tx, packId),
      policy: await this.standingsService.policy(tx),
    }));
    const record = await this.recordsService.ofMany(weighings.map(({ testerId }) => testerId));
    const ofReferences = weighings.filter(({ testerId }) => isReference(record(testerId).status));
    return weighedMass(ofReferences, policy.referenceTesters);
  }
}
