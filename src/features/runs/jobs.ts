/** The jobs that a run goes through, one after another. */
export const EVALUATE_RUN = "evaluate-run";
/** What follows a change of its pack, or of what is registered of it. */
export const EVALUATE_ANEW = "evaluate-anew";
/** What follows an evaluation: the run is compared with all others. */
export const CHECK_COPIES = "check-copies";
/** Queues `CHECK_COPIES` for runs that an earlier version of the service did not compare, some at a time. */
export const QUEUE_COMPARISONS = "queue-comparisons";
/** What follows a refusal, a day later: the bytes of the log are removed. */
export const REMOVE_LOG = "remove-log";
/** What follows the comparison: the acceptance rule looks at the run. */
export const AUTO_ACCEPT_RUN = "auto-accept-run";
