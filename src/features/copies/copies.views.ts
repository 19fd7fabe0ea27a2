import { ObjectType } from "@nestjs/graphql";
import { RESIDUAL_CHANNELS, type ResidualChannel } from "../../core/copies/residual.js";
import { REVIEW_STATES, type ReviewState } from "../../core/lifecycle/run-lifecycle.js";
import { Decimal, Id, Instant, ListOf, OneOf, Whole, YesNo } from "../../platform/views/index.js";

@ObjectType("CopyAgreement", { description: "How a channel of two runs agrees in what is not its smooth course" })
export class CopyAgreementView {
  @OneOf(RESIDUAL_CHANNELS, { description: "The channel" })
  channel: ResidualChannel;

  @Decimal({ description: "Correlation of what is left beside the smooth course", min: -1, max: 1 })
  correlation: number;

  @Decimal({
    description: "The correlation in its standard deviations between independent runs; 7.5 and more is no chance",
  })
  score: number;

  @Decimal({ description: "Time in the later run less time in the earlier one", unit: "s" })
  lagS: number;

  @Decimal({ description: "Length of what was compared", unit: "s" })
  overlapS: number;

  @Whole({ description: "Samples compared", min: 0, max: 1_000_000 })
  samples: number;

  @Decimal({ description: "Mean of the later run over that of the earlier one" })
  gain: number;

  @YesNo({ description: "Digits make most of what is left in both" })
  coarse: boolean;
}

@ObjectType("RunCopy", { description: "Another run that looks like one measurement with this one" })
export class CopyView {
  @Id({ description: "The other run" })
  runId: string;

  @OneOf(REVIEW_STATES, { description: "Where the other run stands" })
  review: ReviewState;

  @YesNo({ description: "The other run was uploaded later" })
  isLater: boolean;

  @YesNo({ description: "It is declared for another pack" })
  otherPack: boolean;

  @YesNo({ description: "It is declared for another specimen" })
  otherSpecimen: boolean;

  @YesNo({ description: "It is by another tester" })
  otherTester: boolean;

  @YesNo({ description: "A moderator judged both to be measurements of their own" })
  judgedIndependent: boolean;

  @YesNo({ description: "The run cannot be accepted until this is decided" })
  holdsUp: boolean;

  @Instant({ description: "When it was found" })
  foundAt: string;

  @ListOf(() => CopyAgreementView, { description: "What shows it, by channel" })
  agreements: CopyAgreementView[];
}

@ObjectType("RunCopies", { description: "Runs that look like one measurement with a run" })
export class CopiesView {
  @Id({ description: "The run" })
  runId: string;

  @Instant({ description: "When it was compared with all others; null when it was not yet", optional: true })
  checkedAt: string | null;

  @ListOf(() => CopyView, { description: "Those that the caller may know of" })
  copies: CopyView[];
}
