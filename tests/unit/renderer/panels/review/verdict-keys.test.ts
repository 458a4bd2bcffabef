import { expect, it } from 'vitest';
import { CERTAINTIES, VERDICTS } from '../../../../../core/model/review.ts';
import { COMMANDS } from '../../../../../renderer/app/commands.ts';
import { keyOf, VERDICT_KEYS, VERDICT_LIST, verdictActFor } from '../../../../../renderer/panels/review/verdict-keys.ts';
import { TIMELINE_KEYS } from '../../../../../renderer/timeline/keys.ts';

const press = (key: string, over: Partial<KeyboardEvent> = {}) => ({ key, ctrlKey: false, metaKey: false, altKey: false, ...over });

it('no key of the review is one of the window or of the timeline, and none stands twice', () => {
  const others = [...COMMANDS.flatMap(({ keys }) => keys), ...TIMELINE_KEYS.flatMap(({ keys }) => keys)];
  const own = VERDICT_KEYS.map(({ key }) => key);
  expect(own.filter((key) => others.includes(key))).toEqual([]);
  expect(new Set(own).size).toBe(own.length);
});

it('every verdict and every certainty has a key of one character', () => {
  expect(VERDICT_LIST).toEqual(Object.keys(VERDICTS));
  for (const what of [...VERDICT_LIST, ...CERTAINTIES]) expect(keyOf(what)).toMatch(/^[a-z0-9]$/);
  expect(verdictActFor(press(keyOf('cannot tell')))).toEqual({ kind: 'verdict', verdict: 'cannot tell' });
  expect(verdictActFor(press(keyOf('possible')))).toEqual({ kind: 'certainty', certainty: 'possible' });
});

it('leaves keys with Ctrl, Alt or Meta to the browser', () => {
  expect([press('w', { ctrlKey: true }), press('w', { altKey: true }), press('w', { metaKey: true }), press('?')].map(verdictActFor)).toEqual([null, null, null, null]);
  expect(verdictActFor(press('w'))).toEqual({ kind: 'save' });
});
