import { SaxesParser } from 'saxes';
import { BrokenContainer } from '../archive/broken-container.ts';

/** What is done with the elements of one part of a workbook, in order. Names come without their namespace prefix. */
export interface XmlSink {
  open(name: string, attributes: Readonly<Record<string, string>>): void;
  text(text: string): void;
  close(name: string): void;
}

/** What helps against most damage. */
export const SAVE_ANEW = 'Open the workbook in a spreadsheet program, save it anew, and import that; or export CSV.';
/** A part without any tag or end of text for so many characters holds no cells: the longest text of a cell has 32,767. */
const LONGEST_TOKEN = 2 ** 20;
/** Text is handed to the parser in pieces, so that a token that never ends is noticed. */
const PIECE_CHARS = 65_536;
const DEEPEST = 64;

/**
 * Reads one XML part as its bytes come in, in bounded memory. Entities that a document type would define are not read: such a part
 * is refused. Source: ECMA-376 part 2 forbids document types in packages (from memory).
 */
export class XmlReader {
  private readonly parser = new SaxesParser<{ xmlns: false; position: false }>({ xmlns: false, position: false });
  private decoder: TextDecoder | null = null;
  private depth = 0;
  private sinceToken = 0;

  /** `what` names the part in messages: "The sheet". */
  constructor(
    private readonly what: string,
    sink: XmlSink,
  ) {
    const { parser } = this;
    parser.on('error', () => {
      throw this.damaged();
    });
    parser.on('doctype', () => {
      throw this.damaged();
    });
    parser.on('opentag', ({ name, attributes }) => {
      this.sinceToken = 0;
      this.depth += 1;
      if (this.depth > DEEPEST) throw this.damaged();
      sink.open(localName(name), attributes);
    });
    parser.on('closetag', ({ name }) => {
      this.sinceToken = 0;
      this.depth -= 1;
      sink.close(localName(name));
    });
    const text = (part: string): void => {
      this.sinceToken = 0;
      sink.text(part);
    };
    parser.on('text', text);
    parser.on('cdata', text);
  }

  /** Takes the next bytes and pauses after every stretch of them, so that what they gave can be handed on. Errors: throws BrokenContainer when they are no well-formed XML. */
  *push(bytes: Uint8Array): Generator<undefined> {
    this.decoder ??= new TextDecoder(bytes[0] === 0xff ? 'utf-16le' : bytes[0] === 0xfe ? 'utf-16be' : 'utf-8', { fatal: true });
    yield* this.write(this.decoded(bytes, true));
  }

  /** Errors  throws BrokenContainer when the part ends too early. */
  *finish(): Generator<undefined> {
    yield* this.write(this.decoded(new Uint8Array(0), false));
    this.parser.close();
  }

  private *write(text: string): Generator<undefined> {
    for (let at = 0; at < text.length; at += PIECE_CHARS) {
      const piece = text.slice(at, at + PIECE_CHARS);
      this.sinceToken += piece.length;
      this.parser.write(piece);
      if (this.sinceToken > LONGEST_TOKEN) throw this.damaged();
      yield;
    }
  }

  private decoded(bytes: Uint8Array, stream: boolean): string {
    try {
      return this.decoder?.decode(bytes, { stream }) ?? '';
    } catch {
      throw this.damaged();
    }
  }

  private damaged(): BrokenContainer {
    return new BrokenContainer(`${this.what} is damaged: it is no well-formed XML.`, SAVE_ANEW);
  }
}

function localName(name: string): string {
  return name.slice(name.indexOf(':') + 1);
}

/** Returns an attribute by its name without a prefix: `id` finds `r:id`. */
export function attributeOf(attributes: Readonly<Record<string, string>>, name: string): string | undefined {
  const own = attributes[name];
  if (own !== undefined) return own;
  const found = Object.keys(attributes).find((key) => localName(key) === name);
  return found === undefined ? undefined : attributes[found];
}

/** A part that only lists what there is has no more elements than this. */
const MAX_ELEMENTS = 2 ** 20;

/** Reads a whole part. Errors: throws BrokenContainer when it is no well-formed XML, or has more than `maxElements` elements. */
export async function readXml(what: string, bytes: AsyncIterable<Uint8Array>, sink: XmlSink, maxElements = MAX_ELEMENTS): Promise<void> {
  let elements = 0;
  const reader = new XmlReader(what, {
    open(name, attributes) {
      elements += 1;
      if (elements > maxElements) throw new BrokenContainer(`${what} is longer than in any real workbook.`, SAVE_ANEW);
      sink.open(name, attributes);
    },
    text: (text) => sink.text(text),
    close: (name) => sink.close(name),
  });
  for await (const chunk of bytes) runThrough(reader.push(chunk));
  runThrough(reader.finish());
}

function runThrough(steps: Generator<undefined>): void {
  while (steps.next().done !== true);
}
