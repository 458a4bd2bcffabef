import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { depthOf, DocumentSlicer, LineSlicer, MAX_VALUE_BYTES, type JsonSlicer, type SliceSink } from '../../../../../core/readers/fhir/json-slicer.ts';

type Cut = readonly [text: string, line: number];

function sliced(make: (sink: SliceSink) => JsonSlicer, text: string, piece = 7): { values: Cut[]; broken: Cut[]; slicer: JsonSlicer } {
  const values: Cut[] = [];
  const broken: Cut[] = [];
  const slicer = make({ value: (bytes, line) => void values.push([new TextDecoder().decode(bytes), line]), broken: (problem, line) => void broken.push([problem, line]) });
  const bytes = new TextEncoder().encode(text);
  const buffer = new Uint8Array(piece);
  // One buffer for every chunk, as a source may do it.
  for (let at = 0; at < bytes.length; at += piece) {
    const part = bytes.subarray(at, at + piece);
    buffer.set(part);
    slicer.push(buffer.subarray(0, part.length));
  }
  slicer.finish();
  return { values, broken, slicer };
}
const inDocument = (text: string, piece?: number) => sliced((sink) => new DocumentSlicer(sink), text, piece);
const inLines = (text: string, piece?: number) => sliced((sink) => new LineSlicer(sink), text, piece);

describe('a document', () => {
  it('with entries is cut into them, each with its line, and what is around them is kept apart', () => {
    const { values, broken, slicer } = inDocument('{"resourceType":"Bundle",\n"entry":[\n{"a":1},\n\n {"b":"x]}\\""}\n],"total":2}');
    expect(values).toEqual([['{"a":1}', 3], ['{"b":"x]}\\""}\n', 5]]);
    expect(broken).toEqual([]);
    expect((slicer as DocumentSlicer).shells.map((shell) => JSON.parse(new TextDecoder().decode(shell)) as unknown)).toEqual([{ resourceType: 'Bundle', entry: [], total: 2 }]);
  });

  it('without entries, or as a list, or several in a row, is cut into whole values', () => {
    expect(inDocument('{"entryX":[1],"a":{"entry":[{}]}}').values).toEqual([['{"entryX":[1],"a":{"entry":[{}]}}', 1]]);
    expect(inDocument('[{"a":1}, 5, "x"]').values.map(([text]) => text)).toEqual(['{"a":1}', '5', '"x"']);
    expect(inDocument('{"a":1}{"b":2}\n{"c":3}').values).toEqual([['{"a":1}', 1], ['{"b":2}', 1], ['{"c":3}', 2]]);
    expect(inDocument('{"a":1}\r\n\r\n{"c":3}').values[1]).toEqual(['{"c":3}', 3]);
  });

  it('that breaks off gives what was whole and says where the rest began', () => {
    const { values, broken, slicer } = inDocument('{"entry":[\n{"a":1},\n{"b":');
    expect(values).toEqual([['{"a":1}', 2]]);
    expect(broken).toEqual([['not finished', 3]]);
    expect((slicer as DocumentSlicer).isUnfinished).toBe(true);
    expect(inDocument('{"entry":[\n{"a":1},').broken).toEqual([]);
    expect(inDocument('{"a":').broken).toEqual([['not finished', 1]]);
  });

  it('with text between its values has that text as one broken value', () => {
    expect(inDocument('{"a":1} junk } more\n{"b":2}')).toMatchObject({ values: [['{"a":1}', 1], ['{"b":2}', 2]], broken: [['no JSON', 1]] });
  });

  it('nested deeper than 64 levels, or an entry longer than 16 MB, is refused without being gathered, and the next entry is taken', () => {
    const deep = `{"entry":[${'['.repeat(100_000)}${']'.repeat(100_000)},{"a":1}]}`;
    expect(inDocument(deep, 4096)).toMatchObject({ values: [['{"a":1}', 1]], broken: [['too deep', 1]] });
    const long = `{"entry":[{"x":"${'y'.repeat(MAX_VALUE_BYTES)}"},{"a":1}]}`;
    expect(inDocument(long, 1 << 20)).toMatchObject({ values: [['{"a":1}', 1]], broken: [['too long', 1]] });
    expect(inDocument('['.repeat(1_000_000), 65_536).broken).toEqual([['not finished', 1]]);
  });

  it('cut into the same values wherever its chunks end, for any JSON', () => {
    fc.assert(
      fc.property(fc.array(fc.object({ maxDepth: 4 }), { maxLength: 6 }), fc.integer({ min: 1, max: 40 }), fc.constantFrom(undefined, 1), (entries, piece, indent) => {
        const { values, broken } = inDocument(JSON.stringify({ resourceType: 'Bundle', entry: entries }, null, indent), piece);
        expect(broken).toEqual([]);
        expect(values.map(([text]) => JSON.parse(text) as unknown)).toEqual(JSON.parse(JSON.stringify(entries)));
      }),
    );
  });
});

describe('lines', () => {
  it('are values of their own; a broken one costs itself only', () => {
    const { values, broken } = inLines('{"a":1}\r\n\n{"b":\n{"c":3}');
    expect(values).toEqual([['{"a":1}', 1], ['{"b":', 3], ['{"c":3}', 4]]);
    expect(broken).toEqual([]);
  });

  it('longer than 16 MB or too deep are refused', () => {
    expect(inLines(`${'x'.repeat(MAX_VALUE_BYTES + 1)}\n${'['.repeat(65)}\n{}`, 1 << 20)).toMatchObject({ values: [['{}', 3]], broken: [['too long', 1], ['too deep', 2]] });
  });
});

it('depth counts brackets outside strings', () => {
  const depth = (text: string): number => depthOf(new TextEncoder().encode(text), 64);
  expect([depth('{}'), depth('{"a":[1,{"b":"[[[\\"[["}]}'), depth('['.repeat(1000))]).toEqual([1, 3, 65]);
});
