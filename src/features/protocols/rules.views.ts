import { ArgsType, ObjectType } from "@nestjs/graphql";
import { SEVERITIES, type Severity } from "../../core/model.js";
import { connectionOf, listOf, PageArgs } from "../../platform/paging/page.js";
import {
  BooleanField,
  EnumField,
  IdField,
  IntField,
  ListField,
  NumberField,
  StringField,
} from "../../platform/views/index.js";

@ObjectType("RuleLimit", { description: "One number of a rule's limit" })
export class RuleLimitView {
  @StringField({ description: "What the document of the protocol calls it", max: 64 })
  name: string;

  @NumberField({ description: "Value, in the unit that its meaning names" })
  value: number;

  @StringField({ description: "What it means", max: 200 })
  meaning: string;
}

@ObjectType("ProtocolRule", { description: "A rule as a version of a protocol sets it" })
export class ProtocolRuleView {
  @IdField({
    description: "Stable id, as findings name it; the same in every protocol, each of which has limits of its own",
  })
  id: string;

  @EnumField(SEVERITIES, {
    description:
      "required: a fail makes the run nonconforming; corrected: the data were corrected, and the correction is reported; advised: a recommendation",
  })
  severity: Severity;

  @BooleanField({ description: "It holds only where its channel was logged" })
  onlyWhenLogged: boolean;

  @StringField({
    description: "Unit of what it observes: what is counted for a count, `ratio` for a pure number",
    max: 20,
  })
  unit: string;

  @ListField(() => RuleLimitView, { description: "What this version holds it to" })
  limits: RuleLimitView[];

  @StringField({ description: "What it looks at", max: 2_000 })
  observes: string;

  @StringField({ description: "Why that matters", max: 2_000 })
  why: string;

  @StringField({ description: "What to change next time when it fails", max: 2_000 })
  advice: string;

  @BooleanField({ description: "Every run can be held against it: it is never not assessable" })
  alwaysAssessable: boolean;
}

/** As GraphQL asks; REST has protocol and version in the path. */
@ArgsType()
export class ProtocolRulesArgs extends PageArgs {
  @StringField({ description: "Short name of the protocol, the same for all its versions", max: 64 })
  key: string;

  @IntField({ description: "Version; the newest when left out", min: 1, max: 1_000_000, optional: true })
  version?: number | null;
}

export const ProtocolRuleList = listOf(ProtocolRuleView, "ProtocolRule");
export const ProtocolRuleConnection = connectionOf(ProtocolRuleView, "ProtocolRule");
