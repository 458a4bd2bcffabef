import { describe, expect, it } from 'vitest';
import { placeMarkText } from '../../../../renderer/timeline/scene-paint.ts';

/** A letter is 6 px wide. */
const widthOf = (text: string): number => text.length * 6;
const place = (text: string, leftPx: number, rightPx: number, endPx = 1000, isSpan = true) => placeMarkText({ text, isSpan }, leftPx, rightPx, endPx, widthOf);

describe('the words of a mark', () => {
  it('stand inside a span where they fit, and else right of it: no pole runs through them', () => {
    expect(place('2 Who saw it?', 100, 300)).toEqual({ text: '2 Who saw it?', textPx: 105 });
    expect(place('2 Who saw it?', 100, 150)).toEqual({ text: '2 Who saw it?', textPx: 155 });
  });
  it('give way to the number, and that to nothing, where the next mark begins', () => {
    expect(place('2 Who saw it?', 100, 150, 180)).toEqual({ text: '2', textPx: 105 });
    expect(place('2 Who saw it?', 100, 103, 130)).toEqual({ text: '2', textPx: 108 });
    expect(place('2 Who saw it?', 100, 103, 110).text).toBeUndefined();
  });
  it('of a note that is in no list give way to its first word, which says that more follows', () => {
    expect(place('Nobody looked', 100, 160, 170)).toEqual({ text: 'Nobody…', textPx: 105 });
    expect(place('[…] asked for it', 100, 140, 170)).toEqual({ text: '[…]', textPx: 105 });
    expect(place('Nobody', 100, 150, 170)).toEqual({ text: 'Nobody', textPx: 105 });
  });
  it('of an instant stand right of its pennon', () => {
    expect(place('3 Reseated', 100, 103, 1000, false)).toEqual({ text: '3 Reseated', textPx: 112 });
    expect(place('', 100, 103, 1000, false).text).toBeUndefined();
  });
  it('of a span that began before the window stand at its edge', () => {
    expect(place('1 Both', -400, 300)).toEqual({ text: '1 Both', textPx: 2 });
  });
});
