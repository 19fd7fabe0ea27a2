/**
 * Object storage is away, too slow, or refuses: what was asked of it can be tried again later. Its words are for operators:
 * they name no key, and nothing that the storage said but the code of its refusal.
 */
export class ObjectStorageUnavailable extends Error {
  override readonly name = "ObjectStorageUnavailable";

  /** @param isPassing whether the same may succeed a moment later */
  constructor(
    reason: string,
    readonly isPassing: boolean,
    options?: ErrorOptions,
  ) {
    super(reason, options);
  }
}

/** There is no object of this key. */
export class NoSuchObject extends Error {
  override readonly name = "NoSuchObject";
}
