/** The numbers of a text that white space parts. */
export const numbers = (text: string): number[] => text.trim().split(/\s+/).map(Number);
