import { InputType, ObjectType } from "@nestjs/graphql";
import { SCOPES, type Scope } from "../../../platform/auth/account.js";
import { connectionOf, listOf } from "../../../platform/paging/page.js";
import { DateTimeField, EnumListField, IdField, StringField } from "../../../platform/views/index.js";

@InputType({ isAbstract: true })
@ObjectType({ isAbstract: true })
class KeyFields {
  @StringField({ description: "What its owner uses the key for, such as the name of a program", max: 80 })
  label: string;

  @EnumListField(SCOPES, {
    description: "What it may be used for: reading, changing what is yours, deciding on runs of others",
  })
  scopes: Scope[];
}

@InputType({ description: "What a new key is for" })
export class KeyInput extends KeyFields {}

@ObjectType("ApiKey", { description: "A long-lived key for programs" })
export class KeyView extends KeyFields {
  @IdField({ description: "Names the key without its secret, to end it" })
  id: string;

  @DateTimeField({ description: "When it was made" })
  createdAt: string;

  @DateTimeField({
    description: "When it was last used, to within five minutes; null while it was never used",
    optional: true,
  })
  lastUsedAt: string | null;
}

@ObjectType("NewApiKey", { description: "A key that was just made, with the secret that is shown once" })
export class NewKeyView extends KeyView {
  @StringField({ description: "The key, sent as `Authorization: Bearer ...`; shown this once", max: 60 })
  key: string;
}

export const KeyList = listOf(KeyView, "ApiKey");
export const KeyConnection = connectionOf(KeyView, "ApiKey");
