import { memo, useEffect, useMemo, useRef, useState, type JSX } from 'react';
import type { CaseAnalysis, Dropout, Exposure } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import type { Channel } from '../../../core/model/channel.ts';
import type { CaseReview, ReviewedDropout } from '../../../core/model/review.ts';
import { numberText, plainNumberText } from '../../format/number-text.ts';
import { durationText, limitsText, rangeText, type CaseClock } from '../../format/time-text.ts';
import { FigureHelp, FigureTerm } from '../../help/figure-help.tsx';
import { allDropouts, doubtfulOnlyDropouts, type Selection } from '../../state/selection.ts';
import { BOUND_CAUTION, roundedDown } from '../../timeline/bound-shape.ts';
import { channelSiteKey } from '../../timeline/lanes.ts';
import type { LineStyle } from '../../timeline/site-style.ts';
import { Button } from '../../widgets/button.tsx';
import { DataGrid, type GridColumn } from '../../widgets/data-grid.tsx';
import { Limits } from '../../widgets/limits.tsx';
import { Disclosure } from '../../widgets/disclosure.tsx';
import { CheckField, SelectField } from '../../widgets/field.tsx';
import { beforeAfterText, endingText, exposuresById, linkText, lostSamplesText, markText, pressureText, siteText } from './case-facts.ts';
import { comparisonText, doubtfulLostText, responsesText, restoredText } from './evidence-words.ts';
import { OUTCOME_SIGN, outcomeText, shortChangeText } from '../review/review-words.ts';
import { HowWorkedOut } from './explanations.tsx';
import { OnsetCourse } from './onset-course.tsx';
import { courseText, patternWords } from '../../../core/model/onset-words.ts';
import { SiteName } from './site-mark.tsx';

export interface DropoutListProps {
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis;
  readonly clock: CaseClock;
  readonly styles: ReadonlyMap<string, LineStyle>;
  readonly selection: Selection;
  readonly onSelect: (selection: Selection) => void;
  /** What was said of the case as it may be seen; null while it is not known. */
  readonly review: CaseReview | null;
}

/** Links named on the second line of a row; the rest is counted and stands in the details. */
const LINKS_SHOWN = 2;

/** Returns the dropouts in time order; the chosen one shows all that is known of it. */
export function DropoutList({ record, analysis, clock, styles, selection, onSelect, review }: DropoutListProps): JSX.Element {
  const [site, setSite] = useState('');
  const [withDoubtful, setWithDoubtful] = useState(false);
  const ref = useRef<HTMLDivElement>(null);
  const exposures = useMemo(() => exposuresById(analysis), [analysis]);
  const indexes = useMemo(() => perfusionChannels(record), [record]);
  const first = useMemo(() => allDropouts(analysis), [analysis]);
  const second = useMemo(() => doubtfulOnlyDropouts(analysis), [analysis]);
  const isSecond = useMemo(() => new Set(second), [second]);
  const all = useMemo(() => (withDoubtful ? [...first, ...second].sort((a, b) => a.firstLostMs - b.firstLostMs) : first), [first, second, withDoubtful]);
  const shown = useMemo(() => (site === '' ? all : all.filter((dropout) => dropout.siteKey === site)), [all, site]);
  const reviewed = useMemo(() => new Map((review?.dropouts ?? []).map((dropout) => [dropout.dropoutId, dropout])), [review]);
  const columns = useMemo(() => dropoutColumns(analysis, clock, styles, isSecond, reviewed), [analysis, clock, styles, isSecond, reviewed]);
  const selectedId = selection.kind === 'dropout' ? selection.dropoutId : null;
  const isHidden = selectedId !== null && !shown.some((dropout) => dropout.dropoutId === selectedId);

  useEffect(() => {
    if (selectedId === null) return undefined;
    const bring = (): void => {
      const row = ref.current?.querySelector(`tr[data-row="${CSS.escape(selectedId)}"]`);
      row?.nextElementSibling?.scrollIntoView({ block: 'nearest' });
      row?.scrollIntoView({ block: 'nearest' });
    };
    bring();
    // What stood open before takes its last height a little later: without another look the row would come to stand half under the heading.
    const observer = new ResizeObserver(bring);
    if (ref.current !== null) observer.observe(ref.current);
    const timer = setTimeout(() => observer.disconnect(), SETTLES_MS);
    return () => {
      clearTimeout(timer);
      observer.disconnect();
    };
  }, [selectedId]);

  if (first.length === 0 && second.length === 0) return <NoDropouts analysis={analysis} />;
  return (
    <div ref={ref}>
      {analysis.sites.length > 1 || second.length > 0 ? (
        <div className="list-filter">
          {analysis.sites.length > 1 ? (
            <SelectField
              label="Show" value={site} onChange={setSite}
              choices={[
                { value: '', label: `every site (${first.length})` },
                ...analysis.sites.map((entry) => ({ value: entry.siteKey, label: `${siteText(entry.siteKey)} (${entry.dropouts.length})` })),
              ]}
            />
          ) : null}
          {second.length > 0 ? <CheckField label={`also ${numberText(second.length)} only with doubtful values as lost`} checked={withDoubtful} onChange={setWithDoubtful} /> : null}
          {isHidden && site !== '' ? <Button look="link" onClick={() => setSite('')}>The chosen dropout is at another site: show every site</Button> : null}
        </div>
      ) : null}
      {first.length === 0 ? <NoDropouts analysis={analysis} /> : null}
      {shown.length === 0 ? (first.length === 0 ? null : <p className="list-empty">No dropout at this site.</p>) : (
        <DataGrid
          label="Dropouts"
          columns={columns}
          rows={shown}
          rowKey={(dropout) => dropout.dropoutId}
          rowLabel={(dropout) => rowLabel(dropout, clock, isSecond.has(dropout), reviewed.get(dropout.dropoutId))}
          selectedKey={selectedId}
          selectOnMove
          onSelect={(dropout) => onSelect({ kind: 'dropout', dropoutId: dropout.dropoutId })}
          below={(dropout, isSelected) =>
            isSelected
              ? <DropoutDetails dropout={dropout} isSecond={isSecond.has(dropout)} record={record} analysis={analysis} exposures={exposures} clock={clock} channel={indexes.get(dropout.siteKey)} style={styles.get(dropout.siteKey)} />
              : <PrecededLine dropout={dropout} analysis={analysis} exposures={exposures} channel={indexes.get(dropout.siteKey)} style={styles.get(dropout.siteKey)} />}
        />
      )}
    </div>
  );
}

/** So long after a choice the list may still change its height by itself; later the reader scrolls. */
const SETTLES_MS = 400;

/** Returns the perfusion index of every sensor that has one; of two the one with more values, as the analysis takes it. */
function perfusionChannels(record: CaseRecord): ReadonlyMap<string, Channel> {
  const found = new Map<string, Channel>();
  const count = (channel: Channel): number => channel.value.reduce((sum, value) => (Number.isFinite(value) ? sum + 1 : sum), 0);
  for (const channel of record.channels) {
    const key = channelSiteKey(channel);
    if (channel.quantity !== 'perfusion-index' || key === null) continue;
    const other = found.get(key);
    if (other === undefined || count(channel) > count(other)) found.set(key, channel);
  }
  return found;
}

function rowLabel(dropout: Dropout, clock: CaseClock, isSecond: boolean, reviewed: ReviewedDropout | undefined): string {
  const verdict = reviewed === undefined ? '' : `, ${outcomeText(reviewed)}${changesOf(reviewed).map((change) => `, ${change}`).join('')}`;
  return `Dropout ${isSecond ? 'only with doubtful values as lost' : dropout.number}, ${siteText(dropout.siteKey)}, ${clock.clock(dropout.firstLostMs)}, lost ${rangeText(dropout.lostMs)}, SpO2 ${beforeAfterText(dropout)}${verdict}`;
}

/** Returns what became of the dropout since its verdicts, each kind once. */
function changesOf(reviewed: ReviewedDropout): string[] {
  return [...new Set(reviewed.verdicts.flatMap((verdict) => shortChangeText(verdict.state) ?? []))];
}

function NoDropouts({ analysis }: { readonly analysis: CaseAnalysis }): JSX.Element {
  const monitored = analysis.sites.filter((site) => site.monitored !== null);
  if (monitored.length === 0) return <p className="list-empty">No SpO2 was monitored in this record, so nothing can be said about dropouts.</p>;
  return <p className="list-empty">No dropout of at least {durationText(analysis.parameters.minDurationS * 1000)} was found. Shorter losses may be there; the definitions can be changed.</p>;
}

function dropoutColumns(analysis: CaseAnalysis, clock: CaseClock, styles: DropoutListProps['styles'], isSecond: ReadonlySet<Dropout>, reviewed: ReadonlyMap<string, ReviewedDropout>): GridColumn<Dropout>[] {
  return [
    { id: 'number', header: 'No.', help: <FigureHelp figure="dropout-number" />, align: 'right', width: '40px', cell: (dropout) => (isSecond.has(dropout) ? <span className="soft" title="Only when doubtful values count as lost">(d)</span> : dropout.number) },
    {
      id: 'site', header: 'Site, onset', help: <FigureHelp figure="onset" />, headerTitle: 'The onset is the first lost sample',
      cell: (dropout) => (
        <>
          <SiteName siteKey={dropout.siteKey} styles={styles} />
          <span className="figure under">{clock.clock(dropout.firstLostMs)}</span>
        </>
      ),
    },
    {
      id: 'lost', header: 'Lost', help: <FigureHelp figure="time-lost" />, width: '22%', headerTitle: 'Mid estimate; beneath it the low and high limit',
      cell: (dropout) => (
        <>
          <span className="figure">{durationText(dropout.lostMs.mid)}</span>
          <span className="soft under figure"><Limits text={limitsText(dropout.lostMs)} /></span>
        </>
      ),
    },
    {
      id: 'spo2', width: '20%', headerTitle: 'Last good value before, first good value after', header: 'SpO2', help: <FigureHelp figure="spo2-around" />,
      cell: (dropout) => {
        const mark = markText(dropout, analysis.parameters.returnBelowPct);
        return (
          <>
            <span className="figure">{beforeAfterText(dropout)}</span>
            {mark === null ? null : <span className="mark under">{mark}</span>}
          </>
        );
      },
    },
    { id: 'ended', header: 'Ended', help: <FigureHelp figure="ending" />, width: '13%', cell: (dropout) => <span className="ended">{endingText(dropout, clock)}</span> },
    { id: 'verdict', header: 'Verdict', help: <FigureHelp figure="verdict" />, headerTitle: 'What all that you may see comes to', width: '18%', cell: (dropout) => <VerdictCell reviewed={reviewed.get(dropout.dropoutId)} /> },
  ];
}

function VerdictCell({ reviewed }: { readonly reviewed: ReviewedDropout | undefined }): JSX.Element {
  if (reviewed === undefined) return <span className="soft">–</span>;
  const changes = changesOf(reviewed);
  return (
    <span className={reviewed.outcome === 'not reviewed' ? 'verdict-cell soft' : 'verdict-cell'}>
      <span aria-hidden="true">{OUTCOME_SIGN[reviewed.outcome]} </span>{outcomeText(reviewed)}
      {changes.length === 0 ? null : <span className="under concern-text">{changes.join(', ')}</span>}
    </span>
  );
}

interface PrecededLineProps {
  readonly dropout: Dropout;
  readonly analysis: CaseAnalysis;
  readonly exposures: ReadonlyMap<string, Exposure>;
  readonly channel: Channel | undefined;
  readonly style: LineStyle | undefined;
}

const PrecededLine = memo(function PrecededLine({ dropout, analysis, exposures, channel, style }: PrecededLineProps): JSX.Element {
  const more = dropout.links.length - LINKS_SHOWN;
  return (
    <div className="preceded">
      {channel === undefined ? null : <OnsetCourse dropout={dropout} channel={channel} parameters={analysis.parameters} style={style} size="row" />}
      <span>
        {dropout.patterns.length === 0 ? null : <>Looks: {dropout.patterns.join(', ')}. </>}
        {dropout.links.length === 0 ? <span className="soft">Nothing on record in the look-back before it.</span> : (
          <>
            <span className="soft">Preceded by </span>
            {dropout.links.slice(0, LINKS_SHOWN).map((link) => linkText(link, exposures)).join('; ')}
            {more > 0 ? <span className="soft"> and {more} more</span> : null}
          </>
        )}
      </span>
    </div>
  );
});

interface DropoutDetailsProps extends PrecededLineProps {
  /** Only there when doubtful values count as lost. */
  readonly isSecond: boolean;
  readonly record: CaseRecord;
  readonly clock: CaseClock;
}

function DropoutDetails({ dropout, isSecond, record, analysis, exposures, clock, channel, style }: DropoutDetailsProps): JSX.Element {
  const pressure = pressureText(dropout, analysis.parameters.pressureBeforeS);
  const instant = (ms: number | null): string => (ms === null ? 'never in this record' : clock.clock(ms));
  const patterns = patternWords(dropout, analysis, record, clock);
  const holding = patterns.filter((words) => words.holds);
  const others = patterns.filter((words) => !words.holds);
  return (
    <>
      {isSecond ? <p className="only-second">This is a dropout only when doubtful values count as lost; it is in no figure of the first result.</p> : null}
      <dl className="details">
        <div>
          <FigureTerm figure="preceded-by">Preceded by</FigureTerm>
          <dd>
            {dropout.links.length === 0 ? 'nothing on record in the look-back' : (
              <ul>{dropout.links.map((link) => <li key={link.exposureId}>{linkText(link, exposures)}</li>)}</ul>
            )}
          </dd>
        </div>
        <div>
          <FigureTerm figure="onset-patterns">Onset patterns</FigureTerm>
          <dd>
            {holding.length === 0 ? 'none holds' : <ul>{holding.map(({ pattern, figures }) => <li key={pattern}><strong>{pattern}</strong>: {figures}</li>)}</ul>}
            <span className="soft under">Patterns are evidence for a reviewer, not a verdict.</span>
            <Disclosure summary={`The figures of the ${others.length} others`}>
              <ul>{others.map(({ pattern, figures }) => <li key={pattern}>not <strong>{pattern}</strong>: {figures}</li>)}</ul>
            </Disclosure>
          </dd>
        </div>
        <div>
          <FigureTerm figure="perfusion-before">Perfusion index before</FigureTerm>
          <dd>
            {channel === undefined ? 'not recorded at this sensor' : (
              <>
                <OnsetCourse dropout={dropout} channel={channel} parameters={analysis.parameters} style={style} size="details" />
                <span className="under">{courseText(dropout)}{dropout.perfusionBefore === null ? '' : ` Last ${plainNumberText(dropout.perfusionBefore, 2)}.`}</span>
                <span className="soft under">Log scale; lines at 0.3 and 1, common practice; no value is filled in. Not comparable between makes of oximeter.</span>
              </>
            )}
          </dd>
        </div>
        <div><FigureTerm figure="pressure-before">Pressure before</FigureTerm><dd>{pressure ?? 'no pressure on record in the time before'}</dd></div>
        <div><FigureTerm figure="information-back">Information back</FigureTerm><dd>{restoredText(dropout)}</dd></div>
        <div><FigureTerm figure="done-during">Done during it</FigureTerm><dd>{responsesText(dropout, exposures)}</dd></div>
        <div><FigureTerm figure="change-over-gap">Change over the gap</FigureTerm><dd>{comparisonText(dropout)}</dd></div>
        {isSecond ? null : <div><FigureTerm figure="doubtful-as-lost">Doubtful as lost</FigureTerm><dd>{doubtfulLostText(dropout, analysis)}</dd></div>}
        <div>
          <FigureTerm figure="bounds">Bounds</FigureTerm>
          <dd>
            last good {instant(dropout.lastGoodMs)}, first lost {instant(dropout.firstLostMs)}; last lost {instant(dropout.lastLostMs)}, first good {instant(dropout.firstGoodMs)}
          </dd>
        </div>
        <div>
          <FigureTerm figure="lost-values">Lost values</FigureTerm>
          <dd>
            {lostSamplesText(dropout)}
            {dropout.bridgedMs > 0 ? `; ${durationText(dropout.bridgedMs)} of information inside, taken off` : ''}
            {dropout.recordGapMs.high > 0 ? `; record gap inside of ${rangeText(dropout.recordGapMs)}${analysis.parameters.keepRecordGaps ? ', kept in' : ', taken off'}` : ''}
          </dd>
        </div>
      </dl>
      <Disclosure summary="What cannot be excluded inside it" part="cannot be excluded">
        <p>
          <strong>{BOUND_CAUTION}</strong> SpO2 down to {roundedDown(dropout.cannotExclude.pct)} % ({clock.clock(dropout.cannotExclude.atMs)}) cannot be excluded, falling at {plainNumberText(analysis.parameters.fallPctPerS)} %/s at most and rising at {plainNumberText(analysis.parameters.risePctPerS)} %/s at most{dropout.firstGoodMs === null ? '; information never came back, so the bound has no end' : ''}. It says nothing about what is likely. <FigureHelp figure="cannot-be-excluded" />
        </p>
      </Disclosure>
      <HowWorkedOut names={['lost', 'links', 'patterns', 'comparison', 'second', 'bound']} />
    </>
  );
}
