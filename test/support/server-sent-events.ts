import { EventSourceParserStream } from "eventsource-parser/stream";

/** An event with its id, as the HTML standard reads them (9.2.6). */
export interface ServerSentEvent<T> {
  readonly id: string | undefined;
  readonly data: T;
}

/** Server-sent events of an answer as they come. */
export async function* serverSentEvents<T>(response: Response): AsyncGenerator<ServerSentEvent<T>> {
  const text = (response.body as ReadableStream<Uint8Array>).pipeThrough(new TextDecoderStream());
  for await (const { id, data } of text.pipeThrough(new EventSourceParserStream())) {
    yield { id, data: JSON.parse(data) as T };
  }
}
