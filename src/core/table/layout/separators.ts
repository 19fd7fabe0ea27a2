/** Lines that only divide a page: dashes, equals signs, and what stands between their columns; empty ones too. */
const SEPARATOR = /^[\s\-=_+|:;,*#~\u2500-\u257f]*$/u;

export const isSeparator = (line: string): boolean => SEPARATOR.test(line);
