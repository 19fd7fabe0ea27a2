import { LogError } from "../log-error.js";

export const damagedGzip = (): LogError =>
  new LogError(
    "log-damaged",
    "The gzip file is broken or was cut short, so nothing in it can be trusted. Pack the log again and send the whole file.",
  );
