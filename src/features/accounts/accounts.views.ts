import { InputType, ObjectType } from "@nestjs/graphql";
import { ROLES, type Role } from "../../platform/auth/account.js";
import { Id, OneOf, Secret, Text, Texts } from "../../platform/views/index.js";

const handlePattern = {
  source: /^[A-Za-z0-9][A-Za-z0-9_-]{2,31}$/,
  message: "must have 3 to 32 letters, digits, hyphens and underscores, and begin with a letter or digit",
};

@InputType()
export class CredentialsInput {
  @Text({ description: "Name that others see; unique whatever its case", max: 32, pattern: handlePattern })
  handle: string;

  @Secret({ description: "Password", min: 10, max: 256 })
  password: string;
}

@InputType()
export class PasswordInput {
  @Secret({ description: "The present password", min: 1, max: 256 })
  password: string;

  @Secret({ description: "The new password", min: 10, max: 256 })
  newPassword: string;
}

@InputType()
export class ErasureInput {
  @Secret({ description: "The password, as a last confirmation", min: 1, max: 256 })
  password: string;
}

@InputType()
export class RoleInput {
  @OneOf(ROLES, { description: "The new role" })
  role: Role;

  @Text({ description: "Why, for the record", max: 1_000, multiline: true })
  reason: string;
}

@ObjectType("Account")
export class AccountView {
  @Id({ description: "Id" })
  id: string;

  @Text({ description: "Name that others see", max: 32 })
  handle: string;

  @OneOf(ROLES, { description: "What the account may do" })
  role: Role;
}

@ObjectType("Erasure", { description: "An account whose personal data are gone" })
export class ErasureView {
  @Id({ description: "Id, which stays as a pseudonym" })
  id: string;

  @Text({ description: "What others see now in place of the handle", max: 32 })
  handle: string;

  @Texts({ description: "What remains, and why", longest: 500 })
  remains: string[];
}

/** A tester as others see them. */
@ObjectType("Tester")
export class TesterView {
  @Id({ description: "Id" })
  id: string;

  @Text({ description: "Name", max: 32 })
  handle: string;
}
