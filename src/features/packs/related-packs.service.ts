import { Injectable } from "@nestjs/common";
import type { Pack } from "../../generated/prisma/client.js";
import { idOf } from "../../platform/database/rows/uuid.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../platform/paging/page.js";
import { notFound } from "../../platform/problems/problem.js";
import { PacksRepository } from "./packs.repository.js";
import { packView } from "./packs.service.js";
import type { PackView } from "./packs.views.js";
import type { SimilarPackView } from "./related-packs.views.js";
import { SimilarPacksService } from "./similar-packs.service.js";

/** For moderators: which packs a pack may be, and which were found to be it. */
@Injectable()
export class RelatedPacksService {
  constructor(
    private readonly packsRepository: PacksRepository,
    private readonly similarPacksService: SimilarPacksService,
  ) {}

  /** Packs that one may be, by maker, name, cells in series and capacity, the most similar ones. */
  async similar(id: string): Promise<{ items: SimilarPackView[] }> {
    const similar = await this.similarPacksService.of(await this.packOf(id));
    const packs = await this.packsRepository.findAll(similar.map((one) => one.id));
    const byId = new Map(packs.map((pack) => [pack.id, pack]));
    return {
      items: similar.flatMap((one) => {
        const pack = byId.get(one.id);
        return pack ? [{ pack: packView(pack), why: one.why }] : [];
      }),
    };
  }

  /** Packs that were merged into one, each as it was registered, in the order in which they were registered. */
  async merged(id: string, args: PageArgs): Promise<Page<PackView>> {
    const pack = await this.packOf(id);
    const page = await readPage(args, {
      name: "merged-packs",
      filters: { id: pack.id },
      keys: ["uuid"],
      read: (window) => this.packsRepository.mergedInPack(pack.id, window),
      count: () => this.packsRepository.countMergedInPack(pack.id),
      keyOf: (one) => [one.id],
    });
    return mapPage(page, packView);
  }

  /** A pack that was merged stands for the one that it was merged into. */
  private async packOf(id: string): Promise<Pack> {
    const pack = await this.packsRepository.find(idOf(id, "pack"));
    if (!pack) throw notFound("pack");
    return pack.mergedIntoId ? this.packOf(pack.mergedIntoId) : pack;
  }
}
