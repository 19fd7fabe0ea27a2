/** The advisory locks of the database (PostgreSQL: `pg_advisory_lock`), by what their holder does alone. Each number stands once. */
export const ADVISORY_LOCKS = {
  /** Makes the service's own role; a lock of the server's first database. */
  makeRole: 7_120_451_202,
  /** Migrates and prepares the database at a start. */
  prepareDatabase: 7_120_451_203,
  /** Adds to the audit log. */
  addToAuditLog: 7_120_451_204,
  /** Numbers changes of the public record, at the very end of a transaction: taken by a trigger (`publish_change`). */
  publishChange: 7_120_451_205,
  /** Makes a snapshot of the public record. */
  makeSnapshot: 7_120_451_206,
  /** Sets the auto-accept policy or accepts by it, so that what a criterion counts stays as it was counted. */
  acceptByRule: 7_120_451_207,
  /** Registers or renames a pack, so that two of one product see each other. */
  registerPack: 7_120_451_208,
  /** Gives turns to evaluations. */
  giveTurns: 7_120_451_209,
  /** Scores runs of the moderators' queue. */
  scoreQueue: 7_120_451_215,
  /** Sets what makes a standing established. */
  setStandingPolicy: 7_120_451_214,
} as const;
