import { ObjectType } from "@nestjs/graphql";
import { COPY_CHANNELS, type CopyChannel } from "../../core/copies/residual.js";
import { REVIEW_STATES, type ReviewState } from "../../core/lifecycle/run-lifecycle.js";
import {
  BooleanField,
  DateTimeField,
  EnumField,
  IdField,
  IntField,
  ListField,
  NumberField,
} from "../../platform/views/index.js";

@ObjectType("CopyAgreement", { description: "How a channel of two runs agrees in what is not its smooth course" })
export class CopyAgreementView {
  @EnumField(COPY_CHANNELS, { description: "What was held against each other" })
  channel: CopyChannel;

  @NumberField({ description: "Correlation of what is left beside the smooth course", min: -1, max: 1 })
  correlation: number;

  @NumberField({
    description:
      "The correlation in its standard deviations between independent runs; 7.5 and more is no chance, 7 and more for the load",
  })
  score: number;

  @NumberField({ description: "Time in the later run subtract time in the earlier one", unit: "s" })
  lagS: number;

  @NumberField({ description: "Time that passes in the earlier run for each second of the later one", unit: "s" })
  stretch: number;

  @NumberField({ description: "Length of what was compared", unit: "s" })
  overlapS: number;

  @IntField({ description: "Samples compared", min: 0, max: 1_000_000 })
  samples: number;

  @NumberField({ description: "Mean of the later run over that of the earlier one" })
  gain: number;

  @BooleanField({ description: "Digits make most of what is left in both" })
  coarse: boolean;
}

@ObjectType("RunCopy", { description: "Another run that looks like one measurement with this one" })
export class CopyView {
  @IdField({ description: "Id of the run that looks like the same measurement" })
  runId: string;

  @EnumField(REVIEW_STATES, { description: "Review state of the other run" })
  review: ReviewState;

  @BooleanField({ description: "The other run was uploaded later" })
  isLater: boolean;

  @BooleanField({ description: "It is declared for another pack" })
  otherPack: boolean;

  @BooleanField({ description: "It is declared for another specimen" })
  otherSpecimen: boolean;

  @BooleanField({ description: "It is by another tester" })
  otherTester: boolean;

  @BooleanField({ description: "A moderator judged both to be measurements of their own" })
  judgedIndependent: boolean;

  @BooleanField({ description: "The run cannot be accepted until this is decided" })
  holdsUp: boolean;

  @DateTimeField({ description: "When it was found" })
  foundAt: string;

  @ListField(() => CopyAgreementView, { description: "What shows it, by channel" })
  agreements: CopyAgreementView[];
}

@ObjectType("RunCopies", { description: "Runs that look like one measurement with a run" })
export class CopiesView {
  @IdField({ description: "Id of the run that it is about" })
  runId: string;

  @DateTimeField({ description: "When it was compared with all others; null when it was not yet", optional: true })
  checkedAt: string | null;

  @ListField(() => CopyView, { description: "Those that the caller may know of" })
  copies: CopyView[];
}
