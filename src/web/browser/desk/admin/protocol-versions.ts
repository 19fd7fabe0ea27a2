import type { View } from "../../service/view.js";
import type { DeskWork } from "../desk-work.js";

type Protocol = View<"ProtocolView">;
type Version = View<"ProtocolVersionView">;

/** Every version of a protocol, the newest first: they are counted from 1 without gaps. */
export async function protocolVersions(newest: Protocol, { session }: DeskWork): Promise<Version[]> {
  const earlier = Array.from({ length: newest.version - 1 }, (_, at) => newest.version - 1 - at);
  const read = earlier.map((version) => session.get<Version>(`/v1/protocols/${newest.key}/versions/${version}`));
  return [newest, ...(await Promise.all(read))];
}
