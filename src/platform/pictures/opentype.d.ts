/** The part of the library's interface that is used here; its published types belong to an older version. */
declare module "opentype.js" {
  interface Font {
    readonly unitsPerEm: number;
    /** The glyph of a letter; that of index 0 where the font has none. */
    charToGlyph(letter: string): { readonly index: number; readonly advanceWidth?: number };
  }
  const library: { parse(file: ArrayBuffer): Font };
  export default library;
}
