import { Prisma } from "../../generated/prisma/client.js";

/** Whether a write failed because a unique constraint of the database holds such a row already. */
export function isDuplicate(error: unknown): boolean {
  return error instanceof Prisma.PrismaClientKnownRequestError && error.code === "P2002";
}

/** Whether a write failed because what it refers to does not exist. */
export function isMissingReference(error: unknown): boolean {
  return error instanceof Prisma.PrismaClientKnownRequestError && error.code === "P2003";
}
