import { ObjectType } from "@nestjs/graphql";
import { LOAD_BASES } from "../../core/model.js";
import { TESTER_STATUSES } from "../../core/record/status.js";
import {
  ALL_FIGURE_KEYS,
  BooleanField,
  declareEnum,
  EnumField,
  IdListField,
  IntField,
  ListField,
  NumberField,
  ObjectField,
  StringField,
} from "../../platform/views/index.js";
import { TesterView } from "../accounts/accounts.views.js";
import { PackView } from "../packs/packs.views.js";

const CONSENSUS_METHODS = ["huber-mandel-paule"] as const;

declareEnum(CONSENSUS_METHODS, {
  name: "ConsensusMethod",
  description: "How testers' results become one value",
  meanings: {
    "huber-mandel-paule":
      "Mandel and Paule's between-tester variance, shares bounded, and Huber's robust mean from three testers on",
  },
});

declareEnum(TESTER_STATUSES, {
  name: "TesterStatus",
  description: "What a tester's results count for",
  meanings: {
    new: "No record that agrees with the reference testers' yet: shown beside established values",
    established: "The record agrees with the reference testers': the results make values",
    settled: "Established for 180 days: a reference tester",
    vouched: "A moderator has vouched for the tester: a reference tester",
  },
});

@ObjectType("CrossCheck", { description: "The testers' mean by a second method" })
export class CrossCheckView {
  @NumberField({ description: "Mean, in unit" })
  value: number;

  @NumberField({ description: "Standard uncertainty, in unit" })
  uncertainty: number;

  @NumberField({ description: "Between-tester variance, in the square of unit", min: 0 })
  betweenVariance: number;
}

@ObjectType("Consensus", { description: "How the testers' results became one" })
export class ConsensusView {
  @EnumField(CONSENSUS_METHODS, { description: "How the value was made" })
  method: string;

  @NumberField({ description: "Between-tester variance, in the square of unit", min: 0 })
  betweenVariance: number;

  @ObjectField(() => CrossCheckView, { description: "The same by DerSimonian and Laird's between-tester variance" })
  dersimonianLaird: CrossCheckView;
}

@ObjectType("TesterAgreement", { description: "How one tester's results stand beside those of the others" })
export class TesterAgreementView {
  @ObjectField(() => TesterView, { description: "Whose results they are" })
  tester: TesterView;

  @IdListField({ description: "Ids of the tester's accepted runs that count" })
  runIds: string[];

  @IdListField({
    description:
      "Ids of the tester's runs that were withdrawn when their figures had been seen: they stay in the value unless a moderator accepts the cause",
  })
  withdrawnRunIds: string[];

  @EnumField(TESTER_STATUSES, { description: "What the tester's results count for now" })
  status: string;

  @NumberField({
    description: "Share of the tester in the value; 0 where the results are shown beside it",
    min: 0,
    max: 1,
  })
  share: number;

  @BooleanField({ description: "Whether the result waits for a moderator, being too far from the others" })
  held: boolean;

  @NumberField({ description: "Mean of the tester's runs, in unit" })
  value: number;

  @NumberField({ description: "Standard uncertainty of that mean, in unit" })
  uncertainty: number;

  @NumberField({ description: "Its effective degrees of freedom; null for infinitely many", above: 0, optional: true })
  degreesOfFreedom: number | null;

  @NumberField({
    description:
      "How much further withdrawn runs that no moderator had decided on would have moved the mean than they may, in unit; 0 where they stay within that",
    min: 0,
  })
  undecidedExcess: number;

  @NumberField({ description: "Standard deviation of the tester's repeats, in unit", min: 0, optional: true })
  sd: number | null;

  @NumberField({
    description: "Distance from the mean of all testers, in standard deviations of theirs",
    optional: true,
  })
  h: number | null;

  @NumberField({
    description: "Own standard deviation over the repeatability standard deviation",
    min: 0,
    optional: true,
  })
  k: number | null;

  @NumberField({ description: "Critical value of k at 0.5 %", min: 0, optional: true })
  kCritical: number | null;

  @BooleanField({ description: "Whether h or k is beyond its critical value" })
  deviates: boolean;
}

@ObjectType("Agreement", { description: "How well the testers agree, from their results alone" })
export class AgreementView {
  @NumberField({
    description: "Repeatability standard deviation, in unit; null without repeats",
    min: 0,
    optional: true,
  })
  repeatabilitySd: number | null;

  @NumberField({
    description: "Reproducibility standard deviation, in unit; null for one tester",
    min: 0,
    optional: true,
  })
  reproducibilitySd: number | null;

  @NumberField({ description: "Critical value of h at 0.5 %; null below three testers", min: 0, optional: true })
  hCritical: number | null;

  @ListField(() => TesterAgreementView, { description: "Each tester" })
  testers: TesterAgreementView[];
}

@ObjectType("PackStanding", { description: "What stands behind a pack's value in a ranking" })
export class PackStandingView {
  @EnumField(ALL_FIGURE_KEYS, { description: "Which figure of the catalogue it is" })
  figure: string;

  @ObjectField(() => PackView, { description: "Which pack it is about" })
  pack: PackView;

  @NumberField({ description: "Consensus of the testers, in unit" })
  value: number;

  @StringField({ description: "Symbol of the unit of its values; 1 for a pure number", max: 20 })
  unit: string;

  @NumberField({
    description: "Standard uncertainty u of the value, in unit; the interval stated is U = coverageFactor u",
  })
  uncertainty: number;

  @NumberField({ description: "Effective degrees of freedom of u; null for infinitely many", above: 0, optional: true })
  degreesOfFreedom: number | null;

  @NumberField({ description: "k of U = k u for about 95 %; 2 for infinitely many degrees of freedom", min: 2 })
  coverageFactor: number;

  @EnumField(LOAD_BASES, { description: "Under the runs' own loads, or translated to a standard load" })
  basis: string;

  @NumberField({ description: "The standard load, A; null under the runs' own loads", optional: true })
  load: number | null;

  @NumberField({
    description: "What of the uncertainty all testers share, in unit; more testers do not lessen it",
    min: 0,
  })
  sharedUncertainty: number;

  @BooleanField({ description: "Whether enough testers with a record make the value; provisional if not" })
  established: boolean;

  @BooleanField({
    description: "Whether the confirmed value stays, since what the results give has left it; a moderator decides",
  })
  disputed: boolean;

  @NumberField({
    description: "What the results give where a confirmed value stays, in unit; else null",
    optional: true,
  })
  computedValue: number | null;

  @IntField({ description: "Testers whose results are shown beside the value", min: 0, max: 1_000_000_000 })
  testersBeside: number;

  @NumberField({ description: "s_R: how far results of different reference testers scatter, % of the value", above: 0 })
  reproducibilityPercent: number;

  @ObjectField(() => ConsensusView, { description: "How the testers' results became one" })
  consensus: ConsensusView;

  @ObjectField(() => AgreementView, { description: "How well the testers agree" })
  agreement: AgreementView;
}
