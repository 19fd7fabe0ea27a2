/** Code of a log whose evaluation was ended for the time that it took. */
export const TIME_LIMIT = "log-time-limit" as const;

// Trying such a log again by itself would end the same way: it is its tester's to mend, as an unreadable log is.

export const tookTooLong = (seconds: number) => ({
  code: TIME_LIMIT,
  message: `The evaluation of the log took longer than ${seconds} s and was ended. Lower the logging rate to 10 to 50 samples per second, or cut the log to the discharge.`,
  errors: [],
});

export const tookTooMuch = () => ({
  code: "log-too-large" as const,
  message:
    "The evaluation of the log needs more memory than it may have. Lower the logging rate to 10 to 50 samples per second, cut the log to the discharge, or send JSON as comma-separated values.",
  errors: [],
});
