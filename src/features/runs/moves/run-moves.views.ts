import { InputType } from "@nestjs/graphql";
import { IdField, StringField } from "../../../platform/views/index.js";

@InputType({ description: "Where a run belongs: one of its tester's specimens, or a pack" })
export class RunMoveInput {
  @IdField({ description: "A specimen of the run's tester; or packId", optional: true })
  specimenId?: string | null;

  @IdField({
    description: "A pack: the tester's specimen of it with the same label, which is registered where there is none",
    optional: true,
  })
  packId?: string | null;

  @StringField({ description: "Why, for the record", max: 1_000, multiline: true, optional: true })
  note?: string | null;
}
