/**
 * What every connection says first. A server, a database or a role may have any time zone, the embedded server that of its machine; Prisma's
 * adapter reads the times of all of them as UTC's, and days begin where the session's zone has them. Through a pooler in transaction mode
 * it holds for the connection to the pooler (PgBouncer's manual, "Features": TimeZone is kept for each client).
 */
export const IN_UTC = "SET TimeZone TO 'UTC'";
