import type { CaseAnalysis, Dropout } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import { countText, numberText, plainNumberText, saturationText } from '../../format/number-text.ts';
import { durationText, rangeText, type CaseClock } from '../../format/time-text.ts';
import { allDropouts } from '../../state/selection.ts';
import { roundedDown } from '../../timeline/bound-shape.ts';
import type { Anchor } from './anchors.ts';
import { endingText, exposuresById, exposureText, linkText, lostSamplesText, pressureText, siteText } from './case-facts.ts';

/** One of two stretches that are laid upon each other. */
export interface ComparedSide {
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis;
  readonly anchor: Anchor;
  readonly clock: CaseClock;
}

/** A fact of both stretches. `apart` is lower minus upper where both are numbers, else ''. */
export interface ComparedFact {
  readonly name: string;
  readonly upper: string;
  readonly lower: string;
  readonly apart: string;
}

interface Fact {
  readonly name: string;
  readonly text: string;
  readonly number?: number | null | undefined;
  /** Writes the size of a difference; left out where a difference means nothing. */
  readonly apartText?: ((size: number) => string) | undefined;
}

/** What counts as near the aligned instant: the widest of the stretches that keys show. */
const NEAR_MS = 15 * 60_000;
const NONE = '–';

/**
 * Returns what stands at the aligned instants of two stretches, side by side: the table behind the two pictures.
 * Shape    facts of a dropout where one of the two is aligned on one, then what either shares with any instant.
 * Missing  "–" where a stretch has no such fact.
 */
export function comparedFacts(upper: ComparedSide, lower: ComparedSide): readonly ComparedFact[] {
  const [above, below] = [factsOf(upper), factsOf(lower)];
  const names = [...above.map(({ name }) => name), ...below.map(({ name }) => name).filter((name) => !above.some((fact) => fact.name === name))];
  return names.map((name) => {
    const [first, second] = [above.find((fact) => fact.name === name), below.find((fact) => fact.name === name)];
    return { name, upper: first?.text ?? NONE, lower: second?.text ?? NONE, apart: apartOf(first, second) };
  });
}

function apartOf(first: Fact | undefined, second: Fact | undefined): string {
  const [write, from, to] = [first?.apartText, first?.number ?? null, second?.number ?? null];
  if (write === undefined || from === null || to === null) return '';
  const apart = to - from;
  return apart === 0 ? 'none' : `${apart > 0 ? '+' : '\u2212'}${write(Math.abs(apart))}`;
}

function factsOf(side: ComparedSide): readonly Fact[] {
  const { analysis, anchor } = side;
  const dropout = allDropouts(analysis).find(({ dropoutId }) => anchor.anchorId === `dropout ${dropoutId}`);
  return [
    { name: 'Aligned on', text: anchor.label },
    ...(dropout === undefined ? [] : dropoutFacts(dropout, side)),
    ...momentFacts(side),
    { name: 'Definition', text: analysis.parameters.name },
  ];
}

function dropoutFacts(dropout: Dropout, { analysis, clock }: ComparedSide): readonly Fact[] {
  const exposures = exposuresById(analysis);
  const points = (size: number): string => countText(size, 'point', 'points');
  return [
    { name: 'Time lost', text: rangeText(dropout.lostMs), number: dropout.lostMs.mid, apartText: durationText },
    { name: 'Ended', text: endingText(dropout, clock) },
    { name: 'SpO2 before', text: saturationText(dropout.spo2Before), number: dropout.spo2Before, apartText: points },
    { name: 'SpO2 after', text: saturationText(dropout.spo2After), number: dropout.spo2After, apartText: points },
    { name: 'Cannot be excluded, down to', text: `${roundedDown(dropout.cannotExclude.pct)} %` },
    { name: 'Perfusion index at the last', text: dropout.perfusionBefore === null ? NONE : plainNumberText(dropout.perfusionBefore, 2), number: dropout.perfusionBefore, apartText: (size) => plainNumberText(size, 2) },
    { name: 'Pressure before', text: pressureText(dropout, analysis.parameters.pressureBeforeS) ?? NONE },
    { name: 'Patterns of the onset', text: dropout.patterns.length === 0 ? 'none' : dropout.patterns.join(', ') },
    { name: 'Lost as', text: lostSamplesText(dropout) },
    { name: 'Before it, linked in time only', text: listed(dropout.links.map((link) => linkText(link, exposures))) },
    { name: 'Done during it', text: listed(dropout.responses.map((link) => linkText(link, exposures))) },
  ];
}

/** What can be said of any instant. */
function momentFacts({ analysis, anchor: { atMs } }: ComparedSide): readonly Fact[] {
  const near = allDropouts(analysis).filter(({ firstLostMs }) => Math.abs(firstLostMs - atMs) <= NEAR_MS);
  const states = analysis.exposures.filter((one) => one.endMs !== null && one.atMs <= atMs && atMs <= one.endMs);
  const moments = analysis.exposures.filter((one) => one.endMs === null && atMs - one.atMs >= 0 && atMs - one.atMs <= NEAR_MS);
  return [
    { name: `Dropouts that began within ${durationText(NEAR_MS)} of it`, text: near.length === 0 ? 'none' : siteCounts(near), number: near.length, apartText: (size) => numberText(size) },
    { name: `Given or done in the ${durationText(NEAR_MS)} before`, text: listed(moments.map((one) => `${exposureText(one)}, ${one.atMs === atMs ? 'at it' : `${durationText(atMs - one.atMs)} before`}`)) },
    { name: 'States at the instant', text: listed(states.map(exposureText)) },
  ];
}

function siteCounts(dropouts: readonly Dropout[]): string {
  const counts = new Map<string, number>();
  for (const { siteKey } of dropouts) counts.set(siteKey, (counts.get(siteKey) ?? 0) + 1);
  return [...counts].map(([siteKey, count]) => `${siteText(siteKey)} ${numberText(count)}`).join(', ');
}

function listed(texts: readonly string[]): string {
  return texts.length === 0 ? 'nothing on record' : texts.join('; ');
}
