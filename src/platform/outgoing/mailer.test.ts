import { expect, it } from "@jest/globals";
import { isNoAddress, mailFaultOf } from "./mailer.js";

// IANA, "SMTP Enhanced Status Codes": of X.1.Z (RFC 3463, 3.2; RFC 7505, 4.2) those of the recipient's address; X.1.7 and X.1.8 are the sender's,
// X.1.5 is no fault, X.1.0 and X.1.4 say nothing certain. RFC 5321, 4.2.2: 550 may be a policy too.
it.each([
  ["RCPT TO", "550 5.1.1 No such user here", true],
  ["RCPT TO", "550 5.1.2 No such host", true],
  ["RCPT TO", "553-5.1.3 Mailbox name not allowed", true],
  ["RCPT TO", "551 5.1.6 Moved", true],
  ["RCPT TO", "556 5.1.10 The domain takes no mail", true],
  ["RCPT TO", "550 5.1.1", true],
  ["RCPT TO", "550 No such user here", false],
  ["RCPT TO", "550 5.1.0 Other address status", false],
  ["RCPT TO", "550 5.1.4 Ambiguous", false],
  ["RCPT TO", "550 5.1.7 Bad sender's syntax", false],
  ["RCPT TO", "550 5.1.8 Bad sender's system", false],
  ["RCPT TO", "550 5.1.11 Of no meaning", false],
  ["RCPT TO", "550 5.1.1.1 Of no form", false],
  ["RCPT TO", "554 5.7.1 Relay access denied", false],
  ["RCPT TO", "552 5.2.2 Mailbox full", false],
  ["RCPT TO", "550 4.1.1 Of two minds", false],
  ["RCPT TO", "450 4.2.1 Mailbox busy", false],
  ["MAIL FROM", "550 5.1.1 Bad sender", false],
  ["DATA", "554 Transaction failed", false],
])("after %s, %j says of the address that there is none: %s", (command, response, expected) => {
  expect(isNoAddress({ command, response })).toBe(expected);
});

it("a connection that failed says nothing of the address", () => {
  expect(isNoAddress(Object.assign(new Error("refused"), { code: "ECONNREFUSED" }))).toBe(false);
});

it.each([
  [{ code: "EENVELOPE", response: "550 5.7.1 <tilda@bench.example> is blocked" }, "550 5.7.1"],
  [{ code: "EENVELOPE", response: "450-Later, tilda@bench.example" }, "450"],
  [{ code: "ECONNREFUSED" }, "ECONNREFUSED"],
  [{}, "unknown"],
])("of %j no more than codes is told", (error, expected) => {
  expect(mailFaultOf(error)).toBe(expected);
});
