import { ObjectType } from "@nestjs/graphql";
import { Decimal, ListOf, Nested, OneOf, Text, Texts, YesNo } from "../../platform/views/index.js";
import { TesterView } from "../accounts/accounts.views.js";
import { PackView } from "../packs/packs.views.js";

@ObjectType("CrossCheck", { description: "The testers' mean by a second method" })
export class CrossCheckView {
  @Decimal({ description: "Mean, in unit" })
  value: number;

  @Decimal({ description: "Standard uncertainty, in unit" })
  uncertainty: number;

  @Decimal({ description: "Between-tester variance, in the square of unit", min: 0 })
  betweenVariance: number;
}

@ObjectType("Consensus", { description: "How the testers' results became one" })
export class ConsensusView {
  @OneOf(["mandel-paule"], { description: "Whose between-tester variance the value rests on" })
  method: string;

  @Decimal({ description: "Between-tester variance, in the square of unit", min: 0 })
  betweenVariance: number;

  @Nested(() => CrossCheckView, { description: "The same by DerSimonian and Laird's between-tester variance" })
  dersimonianLaird: CrossCheckView;
}

@ObjectType("TesterAgreement", { description: "How one tester's results stand beside those of the others" })
export class TesterAgreementView {
  @Nested(() => TesterView, { description: "The tester" })
  tester: TesterView;

  @Texts({ description: "Ids of the tester's runs that count" })
  runIds: string[];

  @Decimal({ description: "Mean of the tester's runs, in unit" })
  value: number;

  @Decimal({ description: "Standard uncertainty of that mean, in unit" })
  uncertainty: number;

  @Decimal({ description: "Its effective degrees of freedom; null for infinitely many", above: 0, optional: true })
  degreesOfFreedom: number | null;

  @Decimal({ description: "Standard deviation of the tester's repeats, in unit", min: 0, optional: true })
  sd: number | null;

  @Decimal({ description: "Distance from the mean of all testers, in standard deviations of theirs", optional: true })
  h: number | null;

  @Decimal({ description: "Own standard deviation over the repeatability standard deviation", min: 0, optional: true })
  k: number | null;

  @Decimal({ description: "Critical value of k at 0.5 %", min: 0, optional: true })
  kCritical: number | null;

  @YesNo({ description: "Whether h or k is beyond its critical value" })
  deviates: boolean;
}

@ObjectType("Agreement", { description: "How well the testers agree, from their results alone" })
export class AgreementView {
  @Decimal({ description: "Repeatability standard deviation, in unit; null without repeats", min: 0, optional: true })
  repeatabilitySd: number | null;

  @Decimal({ description: "Reproducibility standard deviation, in unit; null for one tester", min: 0, optional: true })
  reproducibilitySd: number | null;

  @Decimal({ description: "Critical value of h at 0.5 %; null below three testers", min: 0, optional: true })
  hCritical: number | null;

  @ListOf(() => TesterAgreementView, { description: "Each tester" })
  testers: TesterAgreementView[];
}

@ObjectType("PackStanding", { description: "What stands behind a pack's value in a ranking" })
export class PackStandingView {
  @Text({ description: "Key of the figure", max: 60 })
  figure: string;

  @Nested(() => PackView, { description: "The pack" })
  pack: PackView;

  @Decimal({ description: "Consensus of the testers, in unit" })
  value: number;

  @Text({ description: "Unit", max: 20 })
  unit: string;

  @Decimal({ description: "Standard uncertainty u of the value, in unit; the interval stated is U = coverageFactor u" })
  uncertainty: number;

  @Decimal({ description: "Effective degrees of freedom of u; null for infinitely many", above: 0, optional: true })
  degreesOfFreedom: number | null;

  @Decimal({ description: "k of U = k u for about 95 %; 2 for infinitely many degrees of freedom", min: 2 })
  coverageFactor: number;

  @OneOf(["own", "translated"], { description: "Under the runs' own loads, or translated to the reference load" })
  basis: string;

  @YesNo({ description: "Fewer than three testers stand behind it" })
  provisional: boolean;

  @Nested(() => ConsensusView, { description: "How the testers' results became one" })
  consensus: ConsensusView;

  @Nested(() => AgreementView, { description: "How well the testers agree" })
  agreement: AgreementView;
}
