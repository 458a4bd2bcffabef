import { describe, expect, it } from 'vitest';
import { LEFT_OUT, shownNote } from '../../../../core/identity/shown-note.ts';

describe('a note as a meeting may see it', () => {
  it('keeps what names nobody, with times that count from the first row and lengths', () => {
    const text = 'The arm was tucked here, 3 min before the sensor was lost (+0:12:00). Nobody looked.';
    expect(shownNote(text, 'K02')).toBe(text);
  });

  // What identifies: names, dates, clock times, rooms, numbers of records and ages from 90 on are of the 18 kinds of Safe Harbor, 45 CFR 164.514(b)(2)(i).
  it.each([
    ['Dr Quillfeather left the room', 'Quillfeather'],
    ['seen on 3 April 2031 by the nurse', 'April'],
    ['sensor lost at 14:32', '14:32'],
    ['alarm in theatre 7', 'theatre 7'],
    ['record AB12345 says so', 'AB12345'],
    ['92 years old', '92'],
    ['zzyqx said so', 'zzyqx'],
  ])('leaves out what may tell who, when or where: %s', (text, gone) => {
    const shown = shownNote(text, 'K02');
    expect(shown).toContain(LEFT_OUT);
    expect(shown).not.toContain(gone);
  });

  it('leaves out the name of the case, whatever its words and signs are', () => {
    expect(shownNote('As in arms (both) tucked, and again in ARMS (BOTH) TUCKED.', 'Arms (both) tucked')).toBe(`As in ${LEFT_OUT}, and again in ${LEFT_OUT}.`);
    expect(shownNote('a note', '')).toBe('a note');
  });

  it('leaves out neighbours as one', () => {
    expect(shownNote('asked Quillfeather, Brandywhistle again', '')).toBe(`asked ${LEFT_OUT} again`);
  });
});
