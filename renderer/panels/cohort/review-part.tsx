import type { JSX } from 'react';
import type { BurdenRow } from '../../../core/model/cohort-burden.ts';
import type { CohortOptions } from '../../../core/model/cohort-options.ts';
import type { CohortResults, CohortReviewFigures } from '../../../core/model/cohort-results.ts';
import { DROPOUT_CHOICES, LOSS_SELECTIONS, type DropoutChoice, type LossSelection, type ReviewCounts } from '../../../core/model/confirmed.ts';
import { countText, numberText, shareText } from '../../format/number-text.ts';
import { durationText, limitsText } from '../../format/time-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { ChoiceRow } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { outcomeCountsText, withoutDropoutText } from '../review/review-words.ts';
import { figureText, placeText } from './cohort-words.ts';
import { Question } from './question.tsx';

const CHOICES: Readonly<Record<DropoutChoice, string>> = { computed: 'As computed', confirmed: 'Confirmed by readers', both: 'Both side by side' };
const SELECTIONS: Readonly<Record<LossSelection, string>> = { 'computed': 'as computed', 'confirmed': 'confirmed (at least)', 'not refuted': 'not refuted (at most)' };

/** Returns the choice of which dropouts are counted. */
export function DropoutsField({ options, onOptions }: { readonly options: CohortOptions; readonly onOptions: (options: CohortOptions) => void }): JSX.Element {
  return (
    <ChoiceRow
      legend="Dropouts" value={options.dropouts} choices={DROPOUT_CHOICES.map((value) => ({ value, label: CHOICES[value] }))}
      onChange={(value) => {
        const dropouts = DROPOUT_CHOICES.find((one) => one === value);
        if (dropouts !== undefined) onOptions({ ...options, dropouts });
      }}
    />
  );
}

/** Returns the number of each outcome over the cases in words. */
export function outcomesSentence(review: CohortReviewFigures): string {
  const { without, casesRead, casesWithDropout } = review;
  const rest = without === 0 ? '' : ` ${withoutDropoutText(without)}`;
  return `${outcomeCountsText(review)} Every dropout has an outcome in ${numberText(casesRead)} of ${countText(casesWithDropout, 'case with one', 'cases with one')}.${rest}`;
}

/** Returns what readers said of the cases, with the burden of computed, confirmed and not refuted dropouts side by side; nothing where only computed ones were asked for. */
export function ReviewPart({ results }: { readonly results: CohortResults }): JSX.Element | null {
  const { options, review, selection, beside, burden } = results;
  if (options.dropouts === 'computed') return null;
  if (beside.length === 0) {
    return (
      <Notice tone="caution" title="Nothing is confirmed." live>
        <p>{review.dropouts === 0 ? 'These cases have no dropout that could be reviewed.' : `None of the ${countText(review.dropouts, 'dropout', 'dropouts')} of these cases has been reviewed.`} The answers below are of computed dropouts.</p>
      </Notice>
    );
  }
  const rowsOf = new Map([{ selection, burden }, ...beside].map((one) => [one.selection, one.burden.rows.filter(({ scope }) => scope === 'all')]));
  const places = (rowsOf.get('computed') ?? []).map(({ place }) => place);
  return (
    <Question
      figure="confirmed-over-cases"
      heading="What did readers confirm?"
      answer={<>
        <p>{outcomesSentence(review)} {selection === 'confirmed' ? 'The answers below are of confirmed dropouts.' : 'The answers below are of computed dropouts.'}</p>
        <p className="soft">
          Confirmed is the least that readers stand for, not refuted the most that can be among what was computed: a loss that no rule found is in neither. {review.notReviewed === 0 ? '' : 'While dropouts are not reviewed, confirmed figures are too low by an unknown part; cases that wait differ from those that were read. '}
          Monitored time is the denominator of all three.
        </p>
      </>}
    >
      <div className="grid-scroll cohort-sides" tabIndex={0} role="group" aria-label="What readers confirmed, by place">
        <table className="plain-table">
          <caption className="visually-hidden">Burden of computed, confirmed and not refuted dropouts, by place</caption>
          <thead>
            <tr>
              <th scope="col">Place</th><th scope="col">Which dropouts</th><FigureHead figure="confirmed-over-cases" className="align-right">Number</FigureHead><FigureHead figure="confirmed-over-cases" className="align-right">Cases with one</FigureHead>
              <FigureHead figure="time-lost">Time lost, mid (low–high)</FigureHead><FigureHead figure="confirmed-over-cases">Share of the time ({numberText(options.conf * 100)}&nbsp;% interval)</FigureHead><FigureHead figure="review-state">Read so far</FigureHead>
            </tr>
          </thead>
          {places.map((place) => (
            <tbody key={place}>
              {LOSS_SELECTIONS.map((which) => {
                const row = rowsOf.get(which)?.find((one) => one.place === place);
                return row === undefined ? null : <SideRow key={which} which={which} row={row} isFirst={which === 'computed'} />;
              })}
            </tbody>
          ))}
        </table>
      </div>
    </Question>
  );
}

/** The outcomes that occur, each with its number. */
function outcomesText({ dropouts, confirmed, refuted, cannotTell, disputed, notReviewed }: ReviewCounts): string {
  const parts = ([[confirmed, 'confirmed'], [refuted, 'refuted'], [cannotTell, 'cannot be told'], [disputed, 'disputed'], [notReviewed, 'not reviewed']] as const).flatMap(([count, word]) => (count === 0 ? [] : [`${numberText(count)} ${word}`]));
  return dropouts === 0 ? 'no dropout' : parts.join(', ');
}

function SideRow({ which, row, isFirst }: { readonly which: LossSelection; readonly row: BurdenRow; readonly isFirst: boolean }): JSX.Element {
  const { primary, review, place } = row;
  return (
    <tr>
      <th scope="row">{isFirst ? placeText(place) : <span className="visually-hidden">{placeText(place)}</span>}</th>
      <td>{SELECTIONS[which]}</td>
      <td className="align-right">{numberText(primary.dropouts)}</td>
      <td className="align-right">{numberText(primary.casesWithDropout)} of {numberText(primary.cases)}</td>
      <td>{durationText(primary.lostMs.mid)}{primary.lostMs.high === 0 ? '' : ` (${limitsText(primary.lostMs)})`}</td>
      <td>{figureText(primary.share?.mid ?? null, primary.shareInterval, shareText)}</td>
      <td className="cohort-outcomes">{!isFirst ? '' : review === null ? 'follow from the sensors’ losses' : outcomesText(review)}</td>
    </tr>
  );
}
