import { expect, it } from "@jest/globals";
import { secretText, signedHeaders } from "./signature.js";

// The test vector of the reference libraries of Standard Webhooks (github.com/standard-webhooks/standard-webhooks).
const SECRET = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw";
const secret = Buffer.from(SECRET.slice("whsec_".length), "base64");
const ID = "msg_p5jXN8AQM9LWM0D4loKWxJek";
const AT = new Date(1_614_265_330_000);
const SIGNATURE = "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=";

it("signs a message as the published test vector does", () => {
  expect(signedHeaders(ID, AT, '{"test": 2432232314}', [secret])).toEqual({
    "webhook-id": ID,
    "webhook-timestamp": "1614265330",
    "webhook-signature": SIGNATURE,
  });
  expect(secretText(secret)).toBe(SECRET);
});

it("signs with each secret, spaces between the signatures", () => {
  const other = Buffer.alloc(32, 7);
  const { "webhook-signature": both } = signedHeaders(ID, AT, '{"test": 2432232314}', [other, secret]);
  expect(both?.split(" ")).toEqual([expect.stringMatching(/^v1,[A-Za-z0-9+/]{43}=$/), SIGNATURE]);
});
