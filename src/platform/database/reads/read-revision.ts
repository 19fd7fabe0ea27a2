/** What changes whenever an answer does that is read from rankings alone. */
export type ReadRevision = () => Promise<string>;
export const READ_REVISION = Symbol("revision of what answers are read from");
