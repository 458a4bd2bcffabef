import type { JSX } from 'react';
import { WHOLE_CASE, type BurdenRow } from '../../../core/model/cohort-burden.ts';
import { countText, shareText } from '../../format/number-text.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { BurdenByGroup, BurdenByMonth, BurdenByPlace, type BurdenPartProps } from './burden-part.tsx';
import { ChangeFields, CompareField } from './choice-part.tsx';
import { bracketsText, burdenSentence, facetText, figureText, placeText, rangeWithLimits } from './cohort-words.ts';
import type { TabProps } from './questions-panel.tsx';
import { coverageSentence, CoverageTable } from './coverage-part.tsx';
import { Question } from './question.tsx';
import { WorthALook } from './worth-a-look.tsx';

/** Pairs of sites put into words, those with most time lost; all stand in the table. */
const MOST_SAID = 3;
const BLIND = { one: 'time without information from any site', many: 'times without information from any site' };
const DROPOUT = { one: 'dropout at a sensor', many: 'dropouts at a sensor' };

function secondShare({ doubtfulLost: { share, shareInterval } }: BurdenRow): string {
  return share === null ? '–' : figureText(share.mid, shareInterval, shareText);
}

/** Returns the questions of the person who leads the work on quality. */
export function LeadTab({ results, definition, onPoint }: TabProps): JSX.Element {
  const session = useSession();
  const asked = useStore(session.cohort.options);
  const { burden, options, flow, sites } = results;
  const all = burden.rows.filter((row) => row.scope === 'all');
  const blind = all.find((row) => row.place === WHOLE_CASE);
  const sensors = all.find((row) => row.place === 'all sensors');
  const bracketed = blind !== undefined && blind.primary.dropouts > 0 ? blind : (sensors ?? blind);
  const hasSecond = results.selection === 'computed';
  const part: BurdenPartProps = { burden, options, unit: flow.unit, definition, hasSecond, onPoint };
  const months = new Set(burden.rows.filter((row) => row.scope === 'month' && row.value !== '').map((row) => row.value)).size;
  const second = sites.pairs.filter((pair) => pair.outcome === 'share lost' && pair.units > 0);
  const lost = sites.coverage.filter(({ lostMs }) => lostMs > 0).sort((a, b) => b.lostMs - a.lostMs);
  return (
    <>
      <Question
        figure="burden"
        heading="How often and how long are we blind?"
        answer={
          <>
            <p>{blind === undefined ? 'No case with a monitored sensor is looked at.' : burdenSentence(blind.primary, BLIND)}</p>
            {sensors === undefined ? null : <p>{burdenSentence(sensors.primary, DROPOUT)}</p>}
            {blind === undefined || sensors === undefined || !hasSecond ? null : (
              <p className="soft">With doubtful values counted as lost: {countText(blind.doubtfulLost.dropouts, BLIND.one, BLIND.many)}, {secondShare(blind)} of the time; {countText(sensors.doubtfulLost.dropouts, DROPOUT.one, DROPOUT.many)}, {secondShare(sensors)}.</p>
            )}
            {bracketed === undefined ? null : <p className="soft">{bracketsText(bracketed.primary, options.conf, flow.unit)}</p>}
          </>
        }
      >
        <BurdenByPlace {...part} />
      </Question>
      <Question
        figure="burden"
        heading="Which sites, procedures, positions, rooms, months?"
        isOnlyOnScreen={options.groupBy === null}
        answer={options.groupBy === null ? 'Choose by what the cases are to be compared: service, position, month or any column of the case list.' : `Compared by ${facetText(options.groupBy)}. An interval that holds the figure of another group is no ground to tell the two apart, and groups differ in their cases.`}
      >
        <CompareField options={asked} facets={results.facets} onOptions={session.cohort.options.set} />
        <BurdenByGroup {...part} />
      </Question>
      <Question
        figure="quality-change"
        heading="Is it getting better since the change? Is it signal or noise?"
        answer={
          <p>
            {months < 2 ? 'There are fewer than two months with dated cases: no course can be seen yet.' : `The course over ${countText(months, 'month', 'months')} stands below. Whether it is signal or noise is for a chart whose definition, baseline and points are kept.`}
            {' '}<Button look="link" className="only-screen" onClick={() => session.cohortPart.set('quality charts')}>Go to the quality charts</Button>
          </p>
        }
      >
        <ChangeFields options={asked} onOptions={session.cohort.options.set} />
        <BurdenByMonth {...part} />
      </Question>
      <Question
        figure="covered"
        heading="How much would a second site have covered?"
        answer={
          <p>
            {hasSecond ? '' : 'Of every loss as computed, however short: what one site gave while another was lost is not reviewed. '}{lost.slice(0, MOST_SAID).map((one) => `${coverageSentence(one)} `)}
            {second.length === 0 ? `In no ${flow.unit} were two sites worn at once for long enough: the records cannot say.` : `Two sites were worn at once for long enough: ${second.map((pair) => `${placeText(pair.firstKey)} and ${placeText(pair.secondKey)} in ${countText(pair.units, flow.unit, `${flow.unit}s`)}`).join('; ')}. Only sites worn at once can say it, and which were worn was a choice. Their values against each other stand under Sites.`}
            {' '}<Button look="link" className="only-screen" onClick={() => session.place.set('sites')}>Go to the sites of the chosen cases</Button>
          </p>
        }
      >
        {sites.coverage.length === 0 ? null : <CoverageTable coverage={sites.coverage} conf={options.conf} unit={flow.unit} />}
      </Question>
      <Question figure="longest-dropout" heading="Which cases deserve a look?" answer="Cases in which information was lost, the longest loss first.">
        <WorthALook cases={burden.cases} />
      </Question>
      <Question
        figure="burden"
        heading="What does the median loss cost in minutes?"
        answer={
          sensors === undefined || sensors.primary.medianMs === null
            ? 'No dropout: there is no median.'
            : `Half of the dropouts last longer than ${rangeWithLimits(sensors.primary.medianMs)}; the middle half lies from ${rangeWithLimits(sensors.primary.lowerQuartileMs)} to ${rangeWithLimits(sensors.primary.upperQuartileMs)}, the longest is ${rangeWithLimits(sensors.primary.longestMs)}. The limits are what the recording interval leaves unknown. Losses that were not restored count up to where they were followed.`
        }
      />
    </>
  );
}
