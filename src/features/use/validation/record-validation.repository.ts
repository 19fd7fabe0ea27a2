import { Injectable } from "@nestjs/common";
import type { Chemistry } from "../../../core/model.js";
import { USE_MODEL_VERSION } from "../../../core/use/model/pack-model.js";
import type { ValidationSums } from "../../../core/use/validation-sums.js";
import { Database } from "../../../platform/database/database.js";

/** What the validated runs of a class's packs add up to. */
export interface ClassSums extends ValidationSums {
  readonly chemistry: Chemistry;
  readonly series: number;
  readonly packs: number;
}

@Injectable()
export class RecordValidationRepository {
  constructor(private readonly database: Database) {}

  /** The sums of every class that has validated runs, as the database keeps them: as many rows as there are classes, however many packs. */
  classes(): Promise<ClassSums[]> {
    return this.database.$queryRaw<ClassSums[]>`
      SELECT chemistry, series, packs::int, runs::int, voltage_squares::float8 AS "voltageSquares", voltage_covered::float8 AS "voltageCovered",
        timed::int, time_errors::float8 AS "timeErrors", time_squares::float8 AS "timeSquares", times_covered::int AS "timesCovered",
        probed::int, temperature_errors::float8 AS "temperatureErrors", temperature_squares::float8 AS "temperatureSquares",
        temperatures_covered::int AS "temperaturesCovered"
      FROM validated_class WHERE model_version = ${USE_MODEL_VERSION} AND runs > 0 ORDER BY chemistry, series`;
  }
}
