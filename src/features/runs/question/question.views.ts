import { ObjectType } from "@nestjs/graphql";
import { DateTimeField, declareEnum, EnumField, IdListField, StringField } from "../../../platform/views/index.js";

const ASKING_ROLES = ["moderator"] as const;

declareEnum(ASKING_ROLES, {
  name: "AskingRole",
  description: "Who asks about a run",
  meanings: { moderator: "A moderator, as any of them" },
});

@ObjectType("RunQuestion", { description: "What its tester is asked about a run, until it is answered" })
export class QuestionView {
  @EnumField(ASKING_ROLES, { description: "In which role somebody asks" })
  askedBy: (typeof ASKING_ROLES)[number];

  @StringField({ description: "The question; null where its text was erased", max: 4_000, optional: true })
  note: string | null;

  @IdListField({ description: "Ids of the rules that it is about" })
  rules: string[];

  @DateTimeField({ description: "When it was asked" })
  since: string;

  @StringField({ description: "What its tester sends to end the question", max: 400 })
  howToAnswer: string;
}
