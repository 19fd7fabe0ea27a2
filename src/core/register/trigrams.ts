/**
 * How alike two texts are by the sequences of three letters that they share, 0 to 1: of the distinct ones of both together, the
 * part that both have. Each word counts with two spaces before and one after it, as in PostgreSQL's extension pg_trgm (PostgreSQL
 * documentation, appendix F, "pg_trgm").
 */
export function trigramSimilarity(a: string, b: string): number {
  const [ofA, ofB] = [trigramsOf(a), trigramsOf(b)];
  const shared = [...ofA].filter((trigram) => ofB.has(trigram)).length;
  return shared === 0 ? 0 : shared / (ofA.size + ofB.size - shared);
}

function trigramsOf(text: string): Set<string> {
  const words = text
    .toLowerCase()
    .split(/[^\p{L}\p{N}]+/u)
    .filter(Boolean);
  const trigrams = new Set<string>();
  for (const word of words) {
    const letters = [..."  ", ...word, " "];
    for (let at = 0; at + 3 <= letters.length; at++) trigrams.add(letters.slice(at, at + 3).join(""));
  }
  return trigrams;
}
