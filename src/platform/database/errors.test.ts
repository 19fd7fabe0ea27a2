import { describe, expect, it } from "@jest/globals";
import { DriverAdapterError } from "@prisma/driver-adapter-utils";
import { Prisma } from "../../generated/prisma/client.js";
import { isDatabaseUnavailable } from "./errors.js";

const prismaError = (code: string, cause: object) =>
  new Prisma.PrismaClientKnownRequestError("failed", {
    code,
    clientVersion: "0",
    meta: { driverAdapterError: { cause } },
  });

describe("a failure is the database being away", () => {
  // SQLSTATE codes: PostgreSQL documentation, appendix A (class 08, 53300, 57P01 to 57P03).
  it.each([
    ["nobody listens", Object.assign(new Error("connect ECONNREFUSED"), { code: "ECONNREFUSED" })],
    ["an operator shut it down", Object.assign(new Error("terminating connection"), { code: "57P01" })],
    ["it is starting", prismaError("P2039", { kind: "postgres", originalCode: "57P03" })],
    ["it cannot be reached", prismaError("P1001", { kind: "DatabaseNotReachable" })],
    ["it closed the connection in a query", prismaError("P2010", { kind: "ConnectionClosed" })],
    [
      "it ended at the end of a transaction",
      new DriverAdapterError({
        kind: "postgres",
        code: "57P01",
        severity: "FATAL",
        message: "terminating connection",
        detail: undefined,
        column: undefined,
        hint: undefined,
        originalCode: "57P01",
      }),
    ],
    ["the connection ended", new Error("Connection terminated unexpectedly")],
  ])("when %s", (_, error) => {
    expect(isDatabaseUnavailable(error)).toBe(true);
  });

  it.each([
    ["a row exists already", prismaError("P2002", { kind: "UniqueConstraintViolation", originalCode: "23505" })],
    ["a query is wrong", prismaError("P2010", { kind: "postgres", originalCode: "42601" })],
    ["the service has a fault", new TypeError("x is not a function")],
    ["something that is no error was thrown", "Connection terminated"],
  ])("and not when %s", (_, error) => {
    expect(isDatabaseUnavailable(error)).toBe(false);
  });
});
