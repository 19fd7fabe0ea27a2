import { expect, it } from "@jest/globals";
import { namedUuid } from "./named-uuid.js";

// RFC 9562, appendix A.4: the name-based UUID of "www.example.com" in the namespace of domain names.
it("is the UUID that RFC 9562 gives for its example", () => {
  const domainNames = "6ba7b810-9dad-11d1-80b4-00c04fd430c8";
  expect(namedUuid(domainNames, "www.example.com")).toBe("2ed6657d-e927-568b-95e1-2665a8aea6a2");
});
