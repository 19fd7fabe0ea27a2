import type { View } from "../../service/view.js";
import type { DeskWork } from "../place.js";

type Protocol = View<"ProtocolView">;

/** Every version of a protocol, the newest first: they are counted from 1 without gaps. */
export async function protocolVersions(newest: Protocol, { session }: DeskWork): Promise<Protocol[]> {
  const earlier = Array.from({ length: newest.version - 1 }, (_, at) => newest.version - 1 - at);
  const read = earlier.map((version) => session.get<Protocol>(`/v1/protocols/${newest.key}/versions/${version}`));
  return [newest, ...(await Promise.all(read))];
}
