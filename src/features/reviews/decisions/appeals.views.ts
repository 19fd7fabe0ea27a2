import { ObjectType } from "@nestjs/graphql";
import {
  DateTimeField,
  declareEnum,
  EnumField,
  IdField,
  ObjectField,
  StringField,
} from "../../../platform/views/index.js";
import { TesterView } from "../../accounts/accounts.views.js";
import { ARBITERS, type Arbiter } from "./interests.repository.js";

declareEnum(ARBITERS, {
  name: "Arbiter",
  description: "Who must decide, or agree, where a moderator may not do so alone",
  meanings: {
    moderator: "Another moderator, who has no conflict of interest",
    administrator: "An administrator, since there is no such moderator",
    nobody: "Nobody yet: it waits until there is another moderator or administrator",
  },
});

@ObjectType("Appeal", { description: "An appeal against a rejection that is not decided on" })
export class AppealView {
  @IdField({ description: "Id of the run that it is about" })
  runId: string;

  @DateTimeField({ description: "When the tester appealed" })
  since: string;

  @StringField({ description: "What the tester says; null where its text was erased", max: 4_000, optional: true })
  note: string | null;

  @ObjectField(() => TesterView, {
    description: "The moderator who rejected the run, and does not decide on it again; null if unknown",
    optional: true,
  })
  rejectedBy: TesterView | null;

  @EnumField(ARBITERS, { description: "Who decides on it" })
  waitsFor: Arbiter;

  @StringField({ description: "The same in a sentence", max: 300 })
  message: string;
}

export class RunAppealView {
  @IdField({ description: "Id of the run that it is about" })
  runId: string;

  @ObjectField(() => AppealView, { description: "The appeal; null if none is open", optional: true })
  appeal: AppealView | null;
}
