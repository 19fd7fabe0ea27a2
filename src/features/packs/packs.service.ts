import { Injectable } from "@nestjs/common";
import { leadSizeProblem } from "../../core/inputs/pack.js";
import type { Chemistry } from "../../core/model.js";
import { isConfirmed, type PackStatus } from "../../core/register/pack-status.js";
import type { Pack } from "../../generated/prisma/client.js";
import type { Caller } from "../../platform/auth/account.js";
import { idOf, isUuid } from "../../platform/database/rows/uuid.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { mapPage, type Page, readPage } from "../../platform/paging/page.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { type PacksFilter, PacksRepository } from "./packs.repository.js";
import type { PackInput, PacksArgs, PackView } from "./packs.views.js";
import { SimilarPacksRepository } from "./similar-packs.repository.js";
import { SimilarPacksService } from "./similar-packs.service.js";

@Injectable()
export class PacksService {
  constructor(
    private readonly packsRepository: PacksRepository,
    private readonly similarPacksRepository: SimilarPacksRepository,
    private readonly similarPacksService: SimilarPacksService,
  ) {}

  /** A product that the record may have already is registered only when it is said to differ from each candidate. */
  async register({ differsFrom, ...input }: PackInput, caller: Caller): Promise<PackView> {
    const lead = leadSizeProblem(input, "");
    if (lead) throw invalidInput([lead]);
    const registered = await this.packsRepository.idOfSameProduct(input);
    const pack =
      registered === null
        ? await this.packsRepository.create(input, caller.id, (tx) =>
            this.similarPacksService.requireOther(tx, input, differsFrom ?? []),
          )
        : null;
    if (pack) return packView(pack);
    throw new Problem("already-exists", "The record has this pack: same maker, name, layout and rated capacity.", {
      extensions: { existingId: registered ?? (await this.packsRepository.idOfSameProduct(input)) },
    });
  }

  /**
   * A pack that was merged into another one leads to that one.
   *
   * @param caller who asks: hidden packs are shown to moderators and to who registered them
   */
  async get(id: string, caller: Caller | null = null): Promise<PackView> {
    const pack = await this.packsRepository.find(idOf(id, "pack"));
    if (!pack || !maySee(pack, caller)) throw notFound("pack");
    return pack.mergedIntoId ? this.get(pack.mergedIntoId, caller) : packView(pack);
  }

  /** Id of the pack that one was merged into; null for one of its own, and where there is none. */
  async mergedInto(id: string): Promise<string | null> {
    return isUuid(id) ? this.packsRepository.mergedInto(id) : null;
  }

  /** Ids of packs as they are now: that of the pack that one was merged into in its place; hidden and unknown ones are left out. */
  current(ids: readonly string[]): Promise<ReadonlyMap<string, string>> {
    return this.packsRepository.current(ids);
  }

  /** What changes whenever a list of packs does. */
  revision(): Promise<string> {
    return this.packsRepository.revision();
  }

  /** Those of the ids that name packs. */
  async byIds(ids: readonly string[]): Promise<ReadonlyMap<string, PackView>> {
    const packs = await this.packsRepository.findAll(ids);
    return new Map(packs.map((pack) => [pack.id, packView(pack)]));
  }

  async list(args: PacksArgs): Promise<Page<PackView>> {
    const { chemistry = null, series = null, status = null, search = null } = args;
    const asked = { chemistry, series, status, search };
    const filter = await this.filterOf({ ...asked, ids: null });
    const page = await readPage(args, {
      name: "packs",
      filters: asked,
      keys: ["uuid"],
      read: (window) => this.packsRepository.list(filter, window),
      count: () => this.packsRepository.count(filter),
      keyOf: ({ id }) => [id],
    });
    return mapPage(page, packView);
  }

  /** Where no pack has the words that are sought, those whose names are spelt much like them. */
  private async filterOf(filter: PacksFilter): Promise<PacksFilter> {
    if (!filter.search || (await this.packsRepository.any(filter))) return filter;
    return { ...filter, ids: await this.similarPacksRepository.idsLike(filter.search) };
  }
}

/** Whether a pack is shown to somebody: a hidden one to moderators and to who registered it. */
export function maySee({ hiddenAt, createdById }: Pack, caller: Caller | null): boolean {
  return hiddenAt === null || createdById === caller?.id || (caller !== null && caller.role !== "tester");
}

function statusOf(pack: Pack): PackStatus {
  if (pack.hiddenAt) return "hidden";
  return isConfirmed(pack) ? "confirmed" : "proposed";
}

/** What both APIs show of a pack. */
export function packView(pack: Pack): PackView {
  const { id, maker, name, chemistry, series, parallel, ratedCapacityMah } = pack;
  const { labelContinuousC, labelBurstC, massGrams, connector, leadGaugeAwg, leadAreaMm2 } = pack;
  return {
    id,
    maker,
    name,
    chemistry: chemistry as Chemistry,
    series,
    parallel,
    ratedCapacityMah,
    labelContinuousC,
    labelBurstC,
    massGrams,
    connector,
    leadGaugeAwg,
    leadAreaMm2,
    status: statusOf(pack),
  };
}
