import { Refusal } from "../service/service.js";
import type { Session } from "../service/session.js";
import type { View } from "../service/view.js";
import { packName } from "./texts.js";

/** Names of packs by their ids; one that is not shown any more has none. */
export async function packNames(ids: readonly string[], session: Session): Promise<ReadonlyMap<string, HTMLElement>> {
  const named = await Promise.all(
    [...new Set(ids)].map(async (id): Promise<readonly [string, HTMLElement][]> => {
      try {
        return [[id, packName(await session.get<View<"PackView">>(`/v1/packs/${id}`))]];
      } catch (error) {
        if (error instanceof Refusal && error.status === 404) return [];
        throw error;
      }
    }),
  );
  return new Map(named.flat());
}
