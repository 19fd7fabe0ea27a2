import { expect, it } from "@jest/globals";
import { isNoAddress } from "./mailer.js";

// RFC 5321, 4.2.2 and 4.3.2: replies to RCPT TO; RFC 3463, 3.2 and 3.8: X.1.1 is a bad mailbox, X.7.1 a policy of the server.
it.each([
  ["RCPT TO", "550 No such user here", true],
  ["RCPT TO", "550 5.1.1 No such user here", true],
  ["RCPT TO", "553-5.1.3 Mailbox name not allowed", true],
  ["RCPT TO", "554 5.7.1 Relay access denied", false],
  ["RCPT TO", "552 5.2.2 Mailbox full", false],
  ["RCPT TO", "450 4.2.1 Mailbox busy", false],
  ["MAIL FROM", "550 5.1.8 Bad sender", false],
  ["DATA", "554 Transaction failed", false],
])("after %s, %j says of the address that there is none: %s", (command, response, expected) => {
  expect(isNoAddress({ command, response, responseCode: Number(response.slice(0, 3)) })).toBe(expected);
});

it("a connection that failed says nothing of the address", () => {
  expect(isNoAddress(Object.assign(new Error("refused"), { code: "ECONNREFUSED" }))).toBe(false);
});
