import { durationText } from '../../base/duration-text.ts';
import type { Dropout } from '../../model/analysis.ts';
import { patternWords } from '../../model/onset-words.ts';
import type { ReportBlock } from '../../model/report-document.ts';
import type { CaseContext } from '../case-context.ts';
import type { PrintClock } from './case-words.ts';
import { placeWords } from './case-words.ts';
import { recordedWords } from '../../model/recorded-words.ts';

/**
 * Returns what a record holds for and against each onset pattern of a loss, and what it cannot tell. No cause is named: a pattern is evidence
 * for those who judge.
 * Source  handbook 11.2 (evidence for and against each cause; what is not known), 12 (cautions 2, 3, 4, 6, 8).
 */
export function lossEvidence(context: CaseContext, dropout: Dropout, clock: PrintClock): ReportBlock[] {
  const { record, analysis } = context;
  const words = patternWords(dropout, analysis, record, { clock: clock.at });
  return [
    {
      kind: 'table',
      table: {
        caption: `What the record holds for and against each pattern: loss ${dropout.number} of the ${placeWords(dropout.siteKey)}`,
        columns: [{ heading: 'Pattern', align: 'start' }, { heading: 'Its rule', align: 'start' }, { heading: 'Figures, and the rule they are held against', align: 'start' }],
        rows: words.map(({ pattern, holds, figures }) => [pattern, holds ? 'holds' : figures.startsWith('cannot be judged') ? 'cannot be judged' : 'does not hold', figures]),
        note: 'A pattern is evidence for a reviewer, not a verdict, and none of them says why. Several may hold at once; what is not recorded can speak neither for nor against.',
      },
    },
    { kind: 'heading', level: 3, text: 'What this record cannot tell' },
    { kind: 'list', isNumbered: false, items: unknowns(context, dropout) },
  ];
}

/** Returns what cannot be known of a loss from its record, in sentences. */
function unknowns({ record, analysis, sites }: CaseContext, dropout: Dropout): string[] {
  const site = sites.find(({ siteKey }) => siteKey === dropout.siteKey);
  const { spo2Before, evidence, links } = dropout;
  const { monitored } = { monitored: sites.filter((one) => one.monitored !== null) };
  const recorded = site === undefined ? 'irregular' : recordedWords(site);
  const hasNoIndex = evidence.perfusion === null;
  const channel = record.channels.find(({ channelId }) => channelId === site?.channelId);
  return [
    'What the bedside display showed, and whether anybody noticed: the record keeps what was stored.',
    `How long it was to the second: values are recorded ${recorded === 'irregular' ? 'irregularly' : recorded}, so the length lies between ${durationText(dropout.lostMs.low)} and ${durationText(dropout.lostMs.high)}.`,
    `What saturation was inside: ${spo2Before === null ? 'no value stands before it' : 'the bound says what cannot be excluded, not what happened'}.`,
    ...(channel?.deviceHoldS === undefined ? ['For how long the oximeter held its last value and over what time it averaged: the export does not say.'] : []),
    ...(hasNoIndex ? ['Whether the pulse at the sensor faded before: no perfusion index was recorded shortly before the loss.'] : []),
    ...(monitored.length < 2 ? ['Whether another site would have informed: one sensor was worn.'] : []),
    ...(links.some(({ certainty }) => certainty !== 'certain') ? ['Which came first, where a time is only possible: clocks differ and hands round.'] : []),
    ...(analysis.recordGapsCanBeTold ? [] : ['Whether the recorder itself stood still: no other channel was exported.']),
  ];
}
