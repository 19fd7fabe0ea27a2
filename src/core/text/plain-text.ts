/** What changes how the text around it is shown: control characters, and those that set the direction of writing. */
export const UNSHOWN = /[\p{Cc}\p{Cf}\p{Cs}\p{Co}\p{Cn}\u2028\u2029]/gu;

/** A name as plain text in one line: without control, direction and unassigned characters. */
export const plainText = (text: string): string => text.replaceAll(/\s+/g, " ").replaceAll(UNSHOWN, "").trim();
