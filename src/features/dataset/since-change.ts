/** What became of the record since a change. */
export interface SinceChange {
  /** Whether the record still has that change: false where it was restored from a backup of before. */
  readonly isOfHistory: boolean;
  /** Whether a tester was erased behind it. */
  readonly hasErasureAfter: boolean;
}

/** Reads that of the change with position `$1`, made at `$2`, ms since 1970. */
export const SINCE_CHANGE = `
  SELECT has_change($1::float8::bigint, $2::float8::bigint) AS "isOfHistory",
    EXISTS (SELECT FROM public_change WHERE event = 'erased' AND position > $1::float8::bigint) AS "hasErasureAfter"`;
