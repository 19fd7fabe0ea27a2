import { InputType, ObjectType } from "@nestjs/graphql";
import { ROLES, type Role } from "../../platform/auth/account.js";
import { Id, Instant, OneOf, Secret, Text } from "../../platform/views/index.js";

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

@ObjectType("Account")
export class AccountView {
  @Id({ description: "Id" })
  id: string;

  @Text({ description: "Name that others see", max: 32 })
  handle: string;

  @OneOf(ROLES, { description: "What the account may do" })
  role: Role;
}

@ObjectType("Session")
export class SessionView {
  @Text({ description: "Sent as `Authorization: Bearer ...`; shown this once", max: 43 })
  token: string;

  @Instant({ description: "When the session ends" })
  expiresAt: string;
}

/** A tester as others see them. */
@ObjectType("Tester")
export class TesterView {
  @Id({ description: "Id" })
  id: string;

  @Text({ description: "Name", max: 32 })
  handle: string;
}
