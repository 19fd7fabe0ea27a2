/** What the API refused something by (RFC 9457), or why no answer came: then without a status. */
export class Refusal extends Error {
  constructor(
    message: string,
    readonly status: number | null = null,
    readonly code: string | null = null,
    /** The whole answer; null where none came. */
    readonly problem: ProblemBody | null = null,
  ) {
    super(message);
  }
}

export interface ProblemBody {
  readonly title?: string;
  readonly detail?: string;
  readonly code?: string;
  /** Of `already-exists`. */
  readonly existingId?: string | null;
  /** Of `similar-pack`. */
  readonly similarPacks?: readonly { readonly id: string }[];
  readonly errors?: readonly { readonly pointer?: string; readonly message: string }[];
}

/** Asks the service that this page comes from. @throws Refusal */
export async function ask<T>(path: string, request: RequestInit = {}): Promise<T> {
  const answer = await fetch(path, request).catch(() => {
    const isRead = (request.method ?? "GET") === "GET";
    const advice = isRead
      ? "Try again when there is a connection."
      : "It may have received what was sent, or not. Send it again when there is a connection: what is sent twice is stored once.";
    throw new Refusal(`No answer came from the service. ${advice}`);
  });
  if (answer.ok) return (answer.status === 204 ? undefined : await answer.json()) as T;
  const problem = (await answer.json().catch(() => ({}))) as ProblemBody;
  const { title, detail, code = null, errors = [] } = problem;
  const places = errors.map(({ pointer, message }) => `${pointer ?? ""} ${message}`.trim());
  const text = [detail ?? title ?? `The service answered with status ${answer.status}.`, ...places].join(" \u00b7 ");
  throw new Refusal(text, answer.status, code, problem);
}
