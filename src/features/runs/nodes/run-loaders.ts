import { Injectable } from "@nestjs/common";
import { figureOfRow } from "../../../platform/database/rows/figure-rows.js";
import { Loader } from "../../../platform/graphql/loader.js";
import { AccountsService } from "../../accounts/accounts.service.js";
import { BenchesService } from "../../benches/benches.service.js";
import { PacksService } from "../../packs/packs.service.js";
import { SpecimensService } from "../../specimens/specimens.service.js";
import { byEvaluation, EvaluationPartsRepository } from "../evaluation/evaluation-parts.repository.js";
import { QuestionsRepository } from "../question/questions.repository.js";
import { adjustmentView, findingView, inOrder, keyFiguresView } from "../run-view.js";

/** Evaluations whose rows are read at once: one has some hundred figures, each with its budget. */
const FIGURES_AT_ONCE = 10;
const BUDGETS_AT_ONCE = 5;
const ROWS_AT_ONCE = 25;
/** Packs, specimens, benches and testers that are read at once. */
const THINGS_AT_ONCE = 100;

/** What runs belong to and what they delivered, read for all runs of an operation together. */
@Injectable()
export class RunLoaders {
  constructor(
    private readonly evaluationPartsRepository: EvaluationPartsRepository,
    private readonly packsService: PacksService,
    private readonly specimensService: SpecimensService,
    private readonly benchesService: BenchesService,
    private readonly accountsService: AccountsService,
    private readonly questionsRepository: QuestionsRepository,
  ) {}

  readonly packs = new Loader(THINGS_AT_ONCE, (ids) => this.packsService.byIds(ids));
  readonly specimens = new Loader(THINGS_AT_ONCE, (ids) => this.specimensService.byIds(ids));
  readonly benches = new Loader(THINGS_AT_ONCE, (ids) => this.benchesService.byIds(ids));
  readonly testers = new Loader(THINGS_AT_ONCE, (ids) => this.accountsService.testersByIds(ids));

  /** By run; only those that are asked about. */
  readonly questions = new Loader(THINGS_AT_ONCE, (ids) => this.questionsRepository.openOf(ids));

  /** By evaluation. */
  readonly figures = new Loader(FIGURES_AT_ONCE, async (ids) => {
    const rows = byEvaluation(await this.evaluationPartsRepository.figures(ids));
    return mapValues(rows, (ofOne) => ofOne.map(figureNode).sort(inOrder));
  });

  /** By evaluation, of each figure by its name. */
  readonly budgets = new Loader(BUDGETS_AT_ONCE, (ids) => this.evaluationPartsRepository.budgets(ids));

  /** By evaluation. */
  readonly findings = new Loader(ROWS_AT_ONCE, async (ids) => {
    const rows = byEvaluation(await this.evaluationPartsRepository.findings(ids));
    return mapValues(rows, (ofOne) => ofOne.map(findingView));
  });

  /** By evaluation. */
  readonly adjustments = new Loader(ROWS_AT_ONCE, async (ids) => {
    const rows = byEvaluation(await this.evaluationPartsRepository.adjustments(ids));
    return mapValues(rows, (ofOne) => ofOne.map(adjustmentView));
  });

  /** By evaluation. */
  readonly keyFigures = new Loader(ROWS_AT_ONCE, async (ids) => {
    return mapValues(byEvaluation(await this.evaluationPartsRepository.keyFigures(ids)), keyFiguresView);
  });
}

function figureNode({
  evaluationId,
  ...row
}: Omit<Parameters<typeof figureOfRow>[0], "budget"> & { evaluationId: string }) {
  const { budget: _, ...figure } = figureOfRow({ ...row, budget: [] });
  return { ...figure, evaluationId };
}

function mapValues<V, W>(map: ReadonlyMap<string, V>, change: (value: V) => W): Map<string, W> {
  return new Map([...map].map(([key, value]) => [key, change(value)]));
}
