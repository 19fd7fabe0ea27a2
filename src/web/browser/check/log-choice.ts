import { byId, element, show, showKeepingChoice } from "../elements.js";

/** Which of several logs is read: one at a time. */
export function showLogs(logs: readonly File[], current: File | null, choose: (log: File) => void): void {
  const section = byId("logs");
  if (logs.length < 2) {
    show(section);
    return;
  }
  const options = logs.map((log) => {
    const input = element("input", { type: "radio", name: "log", checked: log === current });
    input.addEventListener("change", () => choose(log));
    return element("label", { class: "beside" }, input, element("bdi", {}, log.name));
  });
  showKeepingChoice(
    section,
    element("h2", { id: "logs-title" }, `${logs.length} logs: which one is read?`),
    element(
      "p",
      {},
      "One log is read, judged and submitted at a time. Each is a run of its own and begins with an empty form, or with its own run file.",
    ),
    element("fieldset", { class: "options" }, element("legend", { class: "unseen" }, "Log"), ...options),
  );
}
