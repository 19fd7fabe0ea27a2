import { InputType } from "@nestjs/graphql";
import { SecretField } from "../../../platform/views/index.js";
import { CredentialsInput } from "../accounts.views.js";

@InputType()
export class SetupInput extends CredentialsInput {
  @SecretField({ description: "The token that the service printed at its start", min: 32, max: 256 })
  token: string;
}
