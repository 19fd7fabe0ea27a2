/** One problem in what was sent: where it is (a JSON pointer, RFC 6901, or a line and column of the log) and what it is. */
export interface InputError {
  readonly pointer?: string;
  readonly line?: number;
  readonly column?: number;
  readonly message: string;
}

/** A JSON pointer (RFC 6901) to a member of what another points to. */
export function pointerTo(parent: string, name: string): string {
  return `${parent}/${name.replaceAll("~", "~0").replaceAll("/", "~1")}`;
}
