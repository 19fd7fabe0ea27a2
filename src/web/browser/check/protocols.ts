import type { ProtocolDocument } from "../../../core/protocol/index.js";
import { ask, Refusal } from "../service/service.js";

/** A version to judge by; what keeps it from being had; or null while it is asked for. */
export type FoundProtocol = { readonly document: ProtocolDocument } | { readonly problem: string } | null;

/**
 * The protocol versions that the service publishes. The newest of each come with the page; an older one is asked for by its number
 * where a run names it. No other version ever stands in for one that cannot be had.
 */
export class Protocols {
  private readonly found = new Map<string, FoundProtocol>();
  private readonly newest: ReadonlyMap<string, number>;

  /** @param changed told when a version that was asked for is there */
  constructor(
    documents: readonly ProtocolDocument[],
    private readonly changed: () => void,
  ) {
    this.newest = new Map(documents.map(({ key, version }) => [key, version]));
    for (const document of documents) this.found.set(`${document.key} ${document.version}`, { document });
  }

  /** Of a protocol: its newest version; null where the service has none of that key. */
  newestVersion(key: string): number | null {
    return this.newest.get(key) ?? null;
  }

  /** @param version the newest when null */
  find(key: string, version: number | null): FoundProtocol {
    const newest = this.newestVersion(key);
    if (newest === null) return { problem: `The service has no protocol ${key}.` };
    const wanted = version ?? newest;
    const name = `${key} ${wanted}`;
    const known = this.found.get(name);
    if (known !== undefined) return known;
    this.found.set(name, null);
    void this.load(key, wanted, newest).then((found) => {
      this.found.set(name, found);
      this.changed();
    });
    return null;
  }

  private async load(key: string, version: number, newest: number): Promise<FoundProtocol> {
    try {
      return { document: (await ask<{ document: ProtocolDocument }>(pathOf(key, version))).document };
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      if (error.status === 404 || error.status === 422) {
        return { problem: `The service has no version ${version} of ${key}; its newest is ${newest}.` };
      }
      return { problem: `Version ${version} of ${key} could not be loaded: ${error.message}` };
    }
  }
}

const pathOf = (key: string, version: number): string => `/v1/protocols/${encodeURIComponent(key)}/versions/${version}`;
