import { createHash } from "node:crypto";
import { Injectable } from "@nestjs/common";
import { LRUCache } from "lru-cache";
import { USE_CAUTIONS } from "../../../core/use/cautions.js";
import { stretchesOf } from "../../../core/use/predict.js";
import type { Judgement } from "../../../core/use/select.js";
import { MAX_STRETCHES, type Use } from "../../../core/use/use.js";
import type { Caller } from "../../../platform/auth/account.js";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { InProgress } from "../../../platform/limits/in-progress.js";
import { type Page, type PageArgs } from "../../../platform/paging/page.js";
import { pageOf } from "../../../platform/paging/page-of.js";
import { Threads } from "../../../platform/threads/threads.js";
import { PacksService } from "../../packs/packs.service.js";
import { beyondLabel } from "../beyond-label.js";
import { beyondVerified } from "../beyond-verified.js";
import { readUse } from "../use-input.js";
import { ClassModelsRepository } from "./class-models.repository.js";
import { type ClassModels, ClassModelsService } from "./class-models.service.js";
import type { JudgeTask, SharedModel } from "./judge-thread.js";
import { bySelectionKey, type Holding, selectionKey } from "./selection-keys.js";
import type { SelectedPackView, SelectionCountsView, SelectionInput } from "./selections.views.js";

/** Packs that one selection looks through. */
const MAX_PACKS = 4_000;
/** Stretches that one thread follows before others have their turn: a tenth of a second. */
const STRETCHES_AT_ONCE = 160_000;
const MAX_PACKS_AT_ONCE = 250;
/** Selections of one account or network that are computed at a time. */
const MAX_IN_PROGRESS = 3;
/** How long one thread may take for its packs, ms: they take a hundredth of it. */
const LIMIT_MS = 20_000;
/** Judged packs of selections that are kept. */
const KEPT_JUDGEMENTS = 20_000;

/** What was found of each pack of a class under one use; null where its model says nothing of it. */
type Judged = Map<string, Judgement | null>;

export interface SelectionPage extends Page<SelectedPackView> {
  readonly cautions: readonly string[];
  readonly counts: SelectionCountsView;
}

/** Finds the packs of a class that hold a use. */
@Injectable()
export class SelectionsService {
  private readonly inProgress = new InProgress(MAX_IN_PROGRESS, "selections");
  private readonly kept = new LRUCache<string, Judged>({
    maxSize: KEPT_JUDGEMENTS,
    sizeCalculation: ({ size }) => Math.max(1, size),
  });

  constructor(
    private readonly classModelsService: ClassModelsService,
    private readonly classModelsRepository: ClassModelsRepository,
    private readonly packsService: PacksService,
    private readonly threads: Threads,
  ) {}

  /**
   * @param network where it was asked from: whoever has no account shares the threads with others by it
   * @throws Problem invalid-input, invalid-cursor, too-many-requests
   */
  select(input: SelectionInput, page: PageArgs, caller: Caller | null, network: string): Promise<SelectionPage> {
    const share = caller ? `selections of ${caller.id}` : `selections at ${network}`;
    const use = readUse(input.use, 1)(input.class.chemistry);
    return this.inProgress.of(share, () => this.page(input, use, page, share));
  }

  private async page(input: SelectionInput, use: Use, args: PageArgs, share: string): Promise<SelectionPage> {
    const { class: packClass, massLimitGrams = null, order = null, of = null } = input;
    const found = await this.classModelsService.of(packClass, massLimitGrams, MAX_PACKS + 1);
    requireBounded(found, use);
    const asked = { series: packClass.series, use, whose: { kind: of ?? "unknown-specimen" } } as const;
    const judged = await this.judged(found.models, asked, share);
    const first = order ?? "probability";
    const holding = holdingOf(found, judged);
    const sorted = holding.map((one) => ({ one, key: selectionKey(one, first) }));
    sorted.sort((a, b) => bySelectionKey(a.key, b.key));
    const list = {
      name: "selections",
      keys: ["number", "number", "number", "number", "uuid"] as const,
      filters: { ...packClass, massLimitGrams, order: first, asked: hashOf(asked) },
      items: sorted,
      keyOf: ({ key }: (typeof sorted)[number]) => key,
    };
    const page = await pageOf(args, list);
    const items = await this.shown(
      page.items.map(({ one }) => one),
      { models: found.models, asked, judged, share },
    );
    const answered = [...judged.values()].filter((one) => one !== null && one.holds !== null).length;
    return {
      ...page,
      items,
      cautions: USE_CAUTIONS,
      counts: {
        packs: found.packs.length,
        modelled: found.models.length,
        answered,
        holding: holding.length,
      },
    };
  }

  /** What each model says of the use, found before or in the threads. */
  private async judged(models: readonly SharedModel[], asked: Asked, share: string): Promise<Judged> {
    const key = hashOf([asked, models.map(({ packId, revision }) => [packId, revision])]);
    const known = this.kept.get(key);
    if (known) return known;
    const judged = await this.judge(models, { ...asked, isWhole: false }, share);
    this.kept.set(key, judged);
    return judged;
  }

  private async judge(models: readonly SharedModel[], task: Omit<JudgeTask, "models">, share: string): Promise<Judged> {
    const atOnce = Math.min(MAX_PACKS_AT_ONCE, Math.max(1, Math.floor(STRETCHES_AT_ONCE / stretchesOf(task.use))));
    const parts: SharedModel[][] = [];
    for (let i = 0; i < models.length; i += atOnce) parts.push(models.slice(i, i + atOnce));
    const call = {
      module: "src/features/use/selections/judge-thread.js",
      name: "judgeInThread",
      limitMs: LIMIT_MS,
      share,
    };
    const judged = await Promise.all(
      parts.map((part) => this.threads.run<JudgeTask, (Judgement | null)[]>(call, { ...task, models: part })),
    );
    return new Map(models.map(({ packId }, i) => [packId, judged[Math.floor(i / atOnce)]?.[i % atOnce] ?? null]));
  }

  /** Packs as they are shown: with every uncertainty, however clear the answer is. */
  private async shown(
    page: readonly Holding[],
    { models, asked, judged, share }: { models: readonly SharedModel[]; asked: Asked; judged: Judged; share: string },
  ): Promise<SelectedPackView[]> {
    const ids = new Set(page.map(({ packId }) => packId));
    const open = models.filter(({ packId }) => ids.has(packId) && !judged.get(packId)?.isWhole);
    const whole = await this.judge(open, { ...asked, isWhole: true }, share);
    for (const [packId, judgement] of whole) judged.set(packId, judgement);
    const packs = await this.packsService.byIds([...ids]);
    const verified = await this.classModelsRepository.verifiedContinuousA([...ids]);
    return page.flatMap(({ packId, judgement }) => {
      const pack = packs.get(packId);
      const shown = judged.get(packId) ?? judgement;
      return pack ? [selectedPack(pack, shown, verified.get(packId) ?? null)] : [];
    });
  }
}

type Asked = Omit<JudgeTask, "models" | "isWhole">;

const hashOf = (value: unknown): string => createHash("sha256").update(JSON.stringify(value)).digest("base64url");

/** @throws Problem invalid-input where looking through a class would take too long */
function requireBounded({ packs, models }: ClassModels, use: Use): void {
  if (packs.length > MAX_PACKS) {
    const message = `is needed: the class has more than ${MAX_PACKS} packs up to it, the most that one selection looks through`;
    throw invalidInput([{ pointer: "/massLimitGrams", message }]);
  }
  const stretches = models.length * stretchesOf(use);
  if (stretches <= MAX_STRETCHES.selection) return;
  const message = `makes ${stretches} stretches to compute for ${models.length} packs, the reserve counted; at most ${MAX_STRETCHES.selection} are possible. Set a lower massLimitGrams, or fewer or longer steps`;
  throw invalidInput([{ pointer: "/use", message }]);
}

function holdingOf({ packs }: ClassModels, judged: Judged): Holding[] {
  return packs.flatMap(({ packId, massGrams }) => {
    const judgement = judged.get(packId);
    return judgement?.holds ? [{ packId, massGrams, judgement }] : [];
  });
}

function selectedPack(
  pack: SelectedPackView["pack"],
  judgement: Judgement,
  verifiedContinuousA: number | null,
): SelectedPackView {
  const { grade, probability, marginVoltsPerCell, marginUncertainty, lasts, shareLeft, energyLeftWh, peakA } =
    judgement;
  return {
    pack,
    grade,
    probability: probability as number,
    marginVoltsPerCell: marginVoltsPerCell as number,
    marginUncertainty: marginUncertainty as number,
    lasts: lasts as SelectedPackView["lasts"],
    shareLeft: shareLeft as number,
    energyLeftWh: energyLeftWh as number,
    peakA,
    verifiedContinuousA,
    cautions: [...beyondLabel(peakA, pack), ...beyondVerified(peakA, verifiedContinuousA)],
  };
}
