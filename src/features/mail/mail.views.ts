import { InputType, ObjectType } from "@nestjs/graphql";
import { BooleanField, DateTimeField, StringField } from "../../platform/views/index.js";

/** What the HTML standard calls a valid e-mail address (4.10.5.1.5), of at most 254 characters (RFC 5321, 4.5.3.1.3). */
const ADDRESS =
  /^[a-zA-Z0-9.!#$%&'*+/=?^_`{|}~-]{1,64}@[a-zA-Z0-9](?:[a-zA-Z0-9-]{0,61}[a-zA-Z0-9])?(?:\.[a-zA-Z0-9](?:[a-zA-Z0-9-]{0,61}[a-zA-Z0-9])?)+$/;

@InputType({ description: "Where notices are mailed to" })
export class MailAddressInput {
  @StringField({
    description: "An e-mail address, without a name",
    min: 3,
    max: 254,
    pattern: { source: ADDRESS, message: "must be an e-mail address" },
  })
  address: string;
}

@ObjectType("MailAddress", { description: "Where your notices are mailed to" })
export class MailAddressView {
  @BooleanField({ description: "Whether this service sends mail at all" })
  available: boolean;

  @StringField({ description: "The address; null while there is none", max: 254, optional: true })
  address: string | null;

  @DateTimeField({
    description: "Since when it is confirmed; null until the link that was mailed to it is used",
    optional: true,
  })
  confirmedAt: string | null;
}
