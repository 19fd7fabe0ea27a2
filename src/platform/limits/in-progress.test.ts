import { expect, it } from "@jest/globals";
import { Problem } from "../problems/problem.js";
import { InProgress } from "./in-progress.js";

it("more of one address at a time than may be are refused, and no others", async () => {
  const checks = new InProgress(64, "checks");
  const released = Promise.withResolvers<void>();
  const held = Array.from({ length: 64 }, () => checks.of("address 192.0.2.1", () => released.promise));
  const refusal = checks.of("address 192.0.2.1", async () => "done");
  await expect(refusal).rejects.toMatchObject({ code: "too-many-requests" });
  await expect(refusal).rejects.toBeInstanceOf(Problem);
  expect(await checks.of("address 192.0.2.2", async () => "done")).toBe("done");
  released.resolve();
  await Promise.all(held);
  expect(await checks.of("address 192.0.2.1", async () => "done")).toBe("done");
});
