import { once } from "node:events";

export default async function tearDown() {
  const { keeper } = globalThis;
  const ended = once(keeper, "exit");
  keeper.disconnect();
  await ended;
}
