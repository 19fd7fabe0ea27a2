import { Injectable } from "@nestjs/common";
import { CHEMISTRIES } from "../../../core/inputs/pack.js";
import type { Chemistry } from "../../../core/model.js";
import { USE_MODEL_VERSION } from "../../../core/use/model/pack-model.js";
import { addedSums, pooledErrors } from "../../../core/use/validation-sums.js";
import { type ClassSums, RecordValidationRepository } from "./record-validation.repository.js";
import type { RecordValidationView, ValidatedClassView } from "./record-validation.views.js";

/** How the runs of all packs agree with what their packs' other runs predict of them. */
@Injectable()
export class RecordValidationService {
  constructor(private readonly recordValidationRepository: RecordValidationRepository) {}

  /** What changes whenever the answer does. */
  classes(): Promise<readonly ClassSums[]> {
    return this.recordValidationRepository.classes();
  }

  /** All packs together first, then those of each chemistry, then each class. */
  viewOf(classes: readonly ClassSums[]): RecordValidationView {
    const items =
      classes.length === 0
        ? []
        : [pooled(classes, null, null), ...CHEMISTRIES.flatMap((chemistry) => ofChemistry(classes, chemistry))];
    return { modelVersion: USE_MODEL_VERSION, items };
  }
}

function ofChemistry(classes: readonly ClassSums[], chemistry: Chemistry): ValidatedClassView[] {
  const found = classes.filter((one) => one.chemistry === chemistry).toSorted((a, b) => a.series - b.series);
  if (found.length === 0) return [];
  return [pooled(found, chemistry, null), ...found.map((one) => pooled([one], chemistry, one.series))];
}

const pooled = (
  classes: readonly ClassSums[],
  chemistry: Chemistry | null,
  series: number | null,
): ValidatedClassView => ({
  chemistry,
  series,
  packs: classes.reduce((sum, { packs }) => sum + packs, 0),
  ...pooledErrors(addedSums(classes)),
});
