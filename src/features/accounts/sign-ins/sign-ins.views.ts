import { ArgsType, InputType, ObjectType } from "@nestjs/graphql";
import { CHALLENGE_PATTERN } from "../../../platform/identity-provider/browser-binding.js";
import { connectionOf, listOf } from "../../../platform/paging/page.js";
import { DateTimeField, IdField, ObjectField, SecretField, StringField } from "../../../platform/views/index.js";
import { handlePattern, SignInProofInput } from "../accounts.views.js";

/** How a client begins a sign-in in a browser. */
@ArgsType()
export class SignInStart {
  @StringField({
    description: "SHA-256, base64url, of a random verifier that the client keeps to itself (RFC 7636, 4.2, S256)",
    max: 43,
    pattern: { source: CHALLENGE_PATTERN, message: "must be the base64url of 32 bytes" },
  })
  challenge: string;

  @StringField({
    description: "Path of this service that the browser is sent back to, with the code in its fragment",
    max: 500,
    optional: true,
  })
  returnTo?: string | null;
}

@InputType({ description: "A finished sign-in at the identity provider" })
export class SignInInput extends SignInProofInput {
  @StringField({
    description: "Name that others shall see; needed by who signs in for the first time, else left out",
    max: 32,
    pattern: handlePattern,
    optional: true,
  })
  handle?: string | null;
}

@ObjectType("SignInCode", { description: "The end of a sign-in in a browser" })
export class SignInCodeView {
  @StringField({
    description: "To be given to the client that began it; good once, and with its verifier only",
    max: 43,
  })
  code: string;

  @DateTimeField({ description: "When the code ceases to be good" })
  expiresAt: string;

  @StringField({ description: "What to do with it", max: 200 })
  next: string;
}

@InputType({ description: "A sign-in that shows who you are elsewhere" })
export class IdentityInput extends SignInProofInput {
  @SecretField({ description: "The account's password; needed where it has one", min: 1, max: 256, optional: true })
  password?: string | null;

  @ObjectField(() => SignInProofInput, {
    description: "A sign-in of this moment as who is linked already, where the account has no password",
    optional: true,
  })
  signIn?: SignInProofInput | null;
}

@ObjectType("Identity", { description: "Who you are at the identity provider" })
export class IdentityView {
  @IdField({ description: "Names the link, to end it" })
  id: string;

  @StringField({ description: "URL of the identity provider (OpenID Connect, issuer)", max: 1000 })
  issuer: string;

  @DateTimeField({ description: "When it was linked" })
  createdAt: string;
}

export const IdentityList = listOf(IdentityView, "Identity");
export const IdentityConnection = connectionOf(IdentityView, "Identity");
