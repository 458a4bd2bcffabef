import { CERTAINTIES, VERDICTS, type Certainty, type Verdict } from '../../../core/model/review.ts';

/** What a key does while a case is open and the form for a verdict is shown. */
export type VerdictAct =
  | { readonly kind: 'verdict'; readonly verdict: Verdict }
  | { readonly kind: 'certainty'; readonly certainty: Certainty }
  | { readonly kind: 'save' }
  | { readonly kind: 'take back' }
  | { readonly kind: 'note' }
  | { readonly kind: 'bounds' }
  | { readonly kind: 'show form' };

export interface VerdictKey {
  readonly key: string;
  readonly act: VerdictAct;
  readonly meaning: string;
}

/* None of these is a command of the window or of the timeline (tests/unit/renderer/panels/review), so that no key means two things. */
const KEY_OF_VERDICT: Readonly<Record<Verdict, string>> = {
  'low perfusion': '4',
  'motion': '5',
  'interference': '6',
  'sensor off or displaced': '7',
  'planned interruption': '8',
  'equipment or recording': '9',
  'loss, reason not known': 'u',
  'no loss': 'z',
  'cannot tell': 'y',
};
const KEY_OF_CERTAINTY: Readonly<Record<Certainty, string>> = { certain: 'f', probable: 'g', possible: 'h' };

/** The verdicts in the order in which they are offered. */
export const VERDICT_LIST = Object.keys(VERDICTS).filter((name): name is Verdict => name in VERDICTS);

/** Every key of the review, in the order in which the list of keys shows them. */
export const VERDICT_KEYS: readonly VerdictKey[] = [
  { key: 'j', act: { kind: 'show form' }, meaning: 'Open or close the form for a verdict' },
  ...VERDICT_LIST.map((verdict): VerdictKey => ({ key: KEY_OF_VERDICT[verdict], act: { kind: 'verdict', verdict }, meaning: `Verdict: ${verdict}` })),
  ...CERTAINTIES.map((certainty): VerdictKey => ({ key: KEY_OF_CERTAINTY[certainty], act: { kind: 'certainty', certainty }, meaning: `How sure: ${certainty}` })),
  { key: '/', act: { kind: 'note' }, meaning: 'Write a note; Esc leaves it' },
  { key: 'B', act: { kind: 'bounds' }, meaning: 'Correct the bounds, or take the correction back' },
  { key: 'w', act: { kind: 'save' }, meaning: 'Save the verdict' },
  { key: 'X', act: { kind: 'take back' }, meaning: 'Take the saved verdict back' },
];

/** Returns the key of a verdict or of a certainty, as its button shows it. */
export function keyOf(what: Verdict | Certainty): string {
  return VERDICT_KEYS.find(({ act }) => (act.kind === 'verdict' && act.verdict === what) || (act.kind === 'certainty' && act.certainty === what))?.key ?? '';
}

/** Returns what a key press asks for, or null: with Ctrl, Alt or Meta held it is left alone. */
export function verdictActFor(press: Pick<KeyboardEvent, 'key' | 'ctrlKey' | 'metaKey' | 'altKey'>): VerdictAct | null {
  if (press.ctrlKey || press.metaKey || press.altKey) return null;
  return VERDICT_KEYS.find(({ key }) => key === press.key)?.act ?? null;
}
