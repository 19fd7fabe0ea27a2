import { ArgsType, InputType, ObjectType } from "@nestjs/graphql";
import { ROLES, type Role } from "../../platform/auth/account.js";
import { Node } from "../../platform/graphql/node.js";
import { CHALLENGE_PATTERN } from "../../platform/identity-provider/browser-binding.js";
import { connectionOf, listOf, PageArgs } from "../../platform/paging/page.js";
import {
  BooleanField,
  DateTimeField,
  EnumField,
  IdField,
  IntField,
  ObjectField,
  SecretField,
  StringField,
  StringListField,
} from "../../platform/views/index.js";

export const handlePattern = {
  source: /^[A-Za-z0-9][A-Za-z0-9_-]{2,31}$/,
  message: "must have 3 to 32 letters, digits, hyphens and underscores, and begin with a letter or digit",
};

@InputType({ description: "Whom to register, or who is signing in" })
export class CredentialsInput {
  @StringField({
    description: "Name that others see; none that looks like another one, whatever its case",
    max: 32,
    pattern: handlePattern,
  })
  handle: string;

  @SecretField({ description: "What shows that it is you; common and guessable ones are refused", min: 10, max: 256 })
  password: string;
}

const code = { pattern: { source: CHALLENGE_PATTERN, message: "must be 43 characters, as the sign-in gave them" } };
const verifier = {
  source: /^[\w.~-]{43,128}$/,
  message: "must be 43 to 128 letters, digits and - . _ ~ (RFC 7636, 4.1)",
};

/** What a client has of a sign-in at the identity provider. */
@InputType({ description: "What a client holds of a sign-in at the identity provider" })
export class SignInProofInput {
  @StringField({ description: "The code that the browser was given at the end of the sign-in", max: 43, ...code })
  code: string;

  @StringField({
    description: "What the challenge was made of that the sign-in began with",
    max: 128,
    pattern: verifier,
  })
  verifier: string;
}

/** Shows again who is asking, for what a stolen session must not be enough for. */
@InputType({ isAbstract: true })
class ConfirmedInput {
  @SecretField({
    description: "The present password; needed where the account has one",
    min: 1,
    max: 256,
    optional: true,
  })
  password?: string | null;

  @ObjectField(() => SignInProofInput, {
    description: "A sign-in of this moment, where the account has no password",
    optional: true,
  })
  signIn?: SignInProofInput | null;
}

export type Confirmation = ConfirmedInput;

@InputType({ description: "Another password, with what shows again who asks" })
export class PasswordInput extends ConfirmedInput {
  @SecretField({
    description: "What is to be used from now on; common and guessable ones are refused",
    min: 10,
    max: 256,
  })
  newPassword: string;
}

@InputType({ description: "What shows again who asks to be erased" })
export class ErasureInput extends ConfirmedInput {}

@InputType({ description: "What an account may do from now on" })
export class RoleInput {
  @EnumField(ROLES, { description: "The new role" })
  role: Role;

  @StringField({ description: "Why, for the record", max: 1_000, multiline: true })
  reason: string;
}

@ObjectType("Account", { description: "An account as its owner and administrators see it" })
export class AccountView {
  @IdField({ description: "Stays the same when the handle changes" })
  id: string;

  @StringField({ description: "Name that others see", max: 32 })
  handle: string;

  @EnumField(ROLES, { description: "What the account may do" })
  role: Role;
}

@ObjectType("ListedAccount", { description: "An account in the list of administrators" })
export class ListedAccountView extends AccountView {
  @DateTimeField({ description: "When it registered" })
  createdAt: string;

  @DateTimeField({ description: "Since when it is suspended; null while it is not", optional: true })
  suspendedAt: string | null;

  @IntField({ description: "Runs that it uploaded, whatever came of them", min: 0, max: 1e9 })
  runs: number;
}

export const AccountList = listOf(ListedAccountView, "Account");
export const ListedAccountConnection = connectionOf(ListedAccountView, "ListedAccount");

@ArgsType()
export class AccountsArgs extends PageArgs {
  @EnumField(ROLES, { description: "Only accounts with this role", optional: true })
  role?: Role | null;

  @StringField({ description: "Only accounts whose handle contains this, whatever its case", max: 32, optional: true })
  search?: string | null;

  @BooleanField({ description: "Only suspended accounts, or only others", optional: true, fromText: true })
  suspended?: boolean | null;
}

@ObjectType("Erasure", { description: "An account whose personal data are gone" })
export class ErasureView {
  @IdField({ description: "Id, which stays as a pseudonym" })
  id: string;

  @StringField({ description: "What others see now in place of the handle", max: 32 })
  handle: string;

  @StringListField({ description: "What remains, and why", longest: 500 })
  remains: string[];
}

/** A tester as others see them. */
@ObjectType("Tester", { description: "A tester as others see them", implements: () => [Node] })
export class TesterView {
  @IdField({ description: "Stays the same when the handle changes" })
  id: string;

  @StringField({ description: "Name under which others see the tester", max: 32 })
  handle: string;
}
