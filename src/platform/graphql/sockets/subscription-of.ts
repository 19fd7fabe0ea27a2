/**
 * What a subscription gives of events between which signs of life come as null: the socket keeps itself alive. A client that
 * goes away must not wait for the next event to be let go.
 *
 * @param left signalled when the client goes away
 */
export function subscriptionOf<T>(
  events: AsyncGenerator<T | null, void, undefined>,
  left: AbortController,
): AsyncIterableIterator<T> {
  return {
    async next() {
      for (;;) {
        const { done, value } = await events.next();
        if (done) return { done: true, value: undefined };
        if (value) return { done: false, value };
      }
    },
    async return() {
      left.abort();
      await events.return();
      return { done: true, value: undefined };
    },
    [Symbol.asyncIterator]() {
      return this;
    },
  };
}
