import { type Asked, median, type Rate, rateOf } from "./load.js";

/** How long and over how many connections each side is asked. */
export interface Effort {
  readonly rounds: number;
  readonly seconds: number;
  readonly connections: number;
}

export interface Contest {
  readonly ours: Rate;
  readonly peer: Rate;
  /** Requests per second of ours over those of the peer: the median of the rounds. */
  readonly ratio: number;
}

/** Asks both sides in turns. */
export async function contest(
  ours: Asked,
  peer: Asked,
  { rounds, seconds, connections }: Effort,
  status = 200,
): Promise<Contest> {
  const pairs: (readonly [Rate, Rate])[] = [];
  await rateOf(ours, status, connections, 1);
  await rateOf(peer, 200, connections, 1);
  for (let round = 0; round < rounds; round++) {
    const first = await rateOf(ours, status, connections, seconds);
    pairs.push([first, await rateOf(peer, 200, connections, seconds)]);
  }
  const middle = (side: 0 | 1) => ({
    perSecond: median(pairs.map((pair) => pair[side].perSecond)),
    p99Ms: median(pairs.map((pair) => pair[side].p99Ms)),
  });
  return {
    ours: middle(0),
    peer: middle(1),
    ratio: median(pairs.map(([mine, theirs]) => mine.perSecond / theirs.perSecond)),
  };
}
