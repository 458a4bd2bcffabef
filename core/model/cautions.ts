/**
 * The cautions of this program, in its own words.
 * Source: trade handbook, section 12; the numbers are those of that section.
 */
export const CAUTIONS: readonly { readonly number: number; readonly title: string; readonly text: string }[] = [
  { number: 1, title: 'Looking back only', text: 'Lacuna is for looking back at finished anaesthetics. It is not for decisions about a patient now, it raises no alarm, and it replaces no medical device.' },
  { number: 2, title: 'What an export can show', text: 'A missing value in an export does not prove that the bedside display was blank. A value in an export does not prove that it was shown, right, or seen.' },
  { number: 3, title: 'What came before the export', text: 'Averaging and hold in the device, filtering and editing in the record keeper cannot be undone here. Settings that are not known are named as unknown.' },
  { number: 4, title: 'Clocks and hands', text: 'Times come from several clocks and from hands. Order within about two minutes may be wrong.' },
  { number: 5, title: 'Bounds, not points', text: 'The recording interval limits what can be known about a beginning and an end. Ranges are part of every result.' },
  { number: 6, title: 'Association is not cause', text: 'A link in time is association. It does not show that a drug or a position caused a loss. Low pressure predicts loss by itself, and is the usual reason for a vasopressor.' },
  { number: 7, title: 'What cannot be excluded', text: '“Could have been as low as” is what cannot be excluded, not what happened.' },
  { number: 8, title: 'Evidence, not a verdict', text: 'Patterns are evidence for a reviewer. Looking at a record afterwards misses much that was plain in the room.' },
  { number: 9, title: 'Policy and people', text: 'Local policy, licensed clinicians and the official record come first. Nothing here sets a standard of care or grades a person.' },
  { number: 10, title: 'Confidentiality', text: 'Confidentiality, privilege and release follow local law. The program does not create protection.' },
  { number: 11, title: 'Small numbers', text: 'Few cases, or cases that were picked out, are no ground for ranking people or units.' },
  { number: 12, title: 'De-identified exports', text: 'An export without names still needs a human check, free text above all.' },
];
