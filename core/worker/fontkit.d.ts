/** The part of fontkit that is used: whether a font has a character. */
declare module 'fontkit' {
  export interface Font {
    hasGlyphForCodePoint(codePoint: number): boolean;
  }
  /** A collection of fonts (not used here) has no such method. */
  export function create(bytes: Uint8Array): Font;
}
