/** A pack was merged into another one, and what was asked of it stands there. */
export class MergedPack extends Error {
  override readonly name = "MergedPack";

  /** @param asked id of the pack that was asked for @param into of the one that it was merged into */
  constructor(
    readonly asked: string,
    readonly into: string,
  ) {
    super(`pack ${asked} was merged into ${into}`);
  }
}
