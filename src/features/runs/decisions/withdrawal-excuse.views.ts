import { InputType } from "@nestjs/graphql";
import { StringField } from "../../../platform/views/index.js";

@InputType({ description: "Why a withdrawal is accepted" })
export class WithdrawalExcuseInput {
  @StringField({ description: "The cause, for the audit log", max: 1_000, multiline: true })
  note: string;
}
