import { LogReader } from "../log/answer.js";
import type { LogAnswer, LogQuestion } from "../log/messages.js";

const reader = new LogReader();
let newest = 0;
let before: Promise<void> = Promise.resolve();

const say = (answer: LogAnswer): void => self.postMessage(answer);

self.addEventListener("message", ({ data }: MessageEvent<LogQuestion>) => {
  newest = data.id;
  before = before.then(async () => {
    if (data.id !== newest) return;
    try {
      await reader.answer(data, (answer) => say({ id: data.id, ...answer } as LogAnswer));
    } catch (error) {
      // Nothing else hears of a fault here: the page says so in its place.
      say({ id: data.id, kind: "failed", message: String(error) });
    }
  });
});
