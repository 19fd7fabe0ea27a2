import { Injectable } from "@nestjs/common";
import { notFound } from "../../platform/problems/problem.js";
import { handlePattern } from "../accounts/accounts.views.js";
import { PacksService } from "../packs/packs.service.js";
import type { PackView } from "../packs/packs.views.js";
import { TestersRepository } from "./testers.repository.js";
import type { TesterRecordView } from "./testers.views.js";

/** Testers as the public record knows them. */
@Injectable()
export class TestersService {
  constructor(
    private readonly testersRepository: TestersRepository,
    private readonly packsService: PacksService,
  ) {}

  /** @throws Problem not-found for a handle that nobody has, or whose account was erased */
  async get(handle: string): Promise<TesterRecordView> {
    const tester = handlePattern.source.test(handle) ? await this.testersRepository.find(handle) : null;
    if (!tester) throw notFound("tester");
    const [byPack, protocols] = await Promise.all([
      this.testersRepository.runsByPack(tester.id),
      this.testersRepository.runsByProtocol(tester.id),
    ]);
    const packs = await this.packsService.byIds(byPack.map(({ packId }) => packId));
    const { createdAt, firstRunAt, lastRunAt, ...rest } = tester;
    return {
      ...rest,
      since: createdAt.toISOString(),
      firstRunAt: firstRunAt?.toISOString() ?? null,
      lastRunAt: lastRunAt?.toISOString() ?? null,
      packs: byPack.map(({ packId, runs }) => ({ pack: packs.get(packId) as PackView, runs })),
      protocols,
    };
  }

  /** Id of the account with this handle or id; null when there is none. An erased one has only its id. */
  idOf(handleOrId: string): Promise<string | null> {
    return this.testersRepository.idOf(handleOrId);
  }
}
