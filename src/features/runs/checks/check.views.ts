import { InputType } from "@nestjs/graphql";
import { IdField, ObjectField } from "../../../platform/views/index.js";
import { BenchFields } from "../../benches/benches.views.js";
import { PackFields } from "../../packs/packs.views.js";
import { ConditionsFields } from "../upload/run-inputs.js";

@InputType()
export class CheckedPackInput extends PackFields {}

@InputType()
export class CheckedBenchInput extends BenchFields {}

/** As for a run; pack and bench may be described in place of the ids, so that it can be asked without an account. */
@InputType()
export class CheckInput extends ConditionsFields {
  @IdField({ description: "The specimen, yours", optional: true })
  specimenId?: string | null;

  @IdField({ description: "The bench, yours", optional: true })
  benchId?: string | null;

  @ObjectField(() => CheckedPackInput, { description: "The pack, in place of specimenId", optional: true })
  pack?: CheckedPackInput | null;

  @ObjectField(() => CheckedBenchInput, { description: "The bench, in place of benchId", optional: true })
  bench?: CheckedBenchInput | null;
}
