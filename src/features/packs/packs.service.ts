import { Injectable } from "@nestjs/common";
import { leadSizeProblem } from "../../core/inputs/pack.js";
import type { Chemistry } from "../../core/model.js";
import type { Pack } from "../../generated/prisma/client.js";
import type { Caller } from "../../platform/auth/account.js";
import { idOf } from "../../platform/database/uuid.js";
import { invalidInput } from "../../platform/http/input.pipe.js";
import { mapPage, type Page, readPage } from "../../platform/paging/page.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { PacksRepository } from "./packs.repository.js";
import type { PackInput, PacksArgs, PackView } from "./packs.views.js";

@Injectable()
export class PacksService {
  constructor(private readonly packsRepository: PacksRepository) {}

  async register(input: PackInput, caller: Caller): Promise<PackView> {
    const lead = leadSizeProblem(input, "");
    if (lead) throw invalidInput([lead]);
    const pack = await this.packsRepository.create(input, caller.id);
    if (pack) return packView(pack);
    throw new Problem("already-exists", "The record has this pack: same maker, name, layout and rated capacity.", {
      extensions: { existingId: await this.packsRepository.idOfSameProduct(input) },
    });
  }

  async get(id: string): Promise<PackView> {
    const pack = await this.packsRepository.find(idOf(id, "pack"));
    if (!pack) throw notFound("pack");
    return packView(pack);
  }

  /** Those of the ids that name packs. */
  async byIds(ids: readonly string[]): Promise<ReadonlyMap<string, PackView>> {
    const packs = await this.packsRepository.findAll(ids);
    return new Map(packs.map((pack) => [pack.id, packView(pack)]));
  }

  async list(args: PacksArgs): Promise<Page<PackView>> {
    const { chemistry = null, series = null, search = null } = args;
    const filter = { chemistry, series, search };
    const page = await readPage(args, {
      name: "packs",
      filters: filter,
      keys: ["uuid"],
      read: (window) => this.packsRepository.list(filter, window),
      count: () => this.packsRepository.count(filter),
      keyOf: ({ id }) => [id],
    });
    return mapPage(page, packView);
  }
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
  };
}
