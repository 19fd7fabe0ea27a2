export { Decimals, Document, ListOf, Nested, Texts, Wholes, WordsOf } from "./nested.js";
export { Decimal, Whole, YesNo } from "./number.js";
export { Id, Instant, OneOf, Secret, Text } from "./text.js";
