import { useEffect, useRef, useState, type JSX } from 'react';
import type { CaseAnalysis, Dropout, Exposure } from '../../../core/model/analysis.ts';
import { countText, plainNumberText } from '../../format/number-text.ts';
import { durationText, limitsText, rangeText, type CaseClock } from '../../format/time-text.ts';
import { allDropouts, type Selection } from '../../state/selection.ts';
import type { LineStyle } from '../../timeline/site-style.ts';
import { Button } from '../../widgets/button.tsx';
import { DataGrid, type GridColumn } from '../../widgets/data-grid.tsx';
import { SelectField } from '../../widgets/field.tsx';
import { beforeAfterText, endingText, exposuresById, linkText, lostSamplesText, markText, pressureText, siteText } from './case-facts.ts';
import { SiteName } from './site-mark.tsx';

export interface DropoutListProps {
  readonly analysis: CaseAnalysis;
  readonly clock: CaseClock;
  readonly styles: ReadonlyMap<string, LineStyle>;
  readonly selection: Selection;
  readonly onSelect: (selection: Selection) => void;
}

/** Links named on the second line of a row; the rest is counted and stands in the details. */
const LINKS_SHOWN = 2;

/** Returns the dropouts in time order; the chosen one shows all that is known of it. */
export function DropoutList({ analysis, clock, styles, selection, onSelect }: DropoutListProps): JSX.Element {
  const [site, setSite] = useState('');
  const ref = useRef<HTMLDivElement>(null);
  const exposures = exposuresById(analysis);
  const all = allDropouts(analysis);
  const shown = site === '' ? all : all.filter((dropout) => dropout.siteKey === site);
  const selectedId = selection.kind === 'dropout' ? selection.dropoutId : null;
  const isHidden = selectedId !== null && !shown.some((dropout) => dropout.dropoutId === selectedId);

  useEffect(() => {
    if (selectedId === null) return;
    const row = ref.current?.querySelector(`tr[data-row="${CSS.escape(selectedId)}"]`);
    row?.nextElementSibling?.scrollIntoView({ block: 'nearest' });
    row?.scrollIntoView({ block: 'nearest' });
  }, [selectedId]);

  if (all.length === 0) return <NoDropouts analysis={analysis} />;
  return (
    <div ref={ref}>
      {analysis.sites.length > 1 ? (
        <div className="list-filter">
          <SelectField
            label="Show" value={site} onChange={setSite}
            choices={[
              { value: '', label: `every site (${all.length})` },
              ...analysis.sites.map((entry) => ({ value: entry.siteKey, label: `${siteText(entry.siteKey)} (${entry.dropouts.length})` })),
            ]}
          />
          {isHidden ? <Button look="link" onClick={() => setSite('')}>The chosen dropout is at another site: show every site</Button> : null}
        </div>
      ) : null}
      {shown.length === 0 ? <p className="list-empty">No dropout at this site.</p> : (
        <DataGrid
          label="Dropouts"
          columns={dropoutColumns(analysis, clock, styles)}
          rows={shown}
          rowKey={(dropout) => dropout.dropoutId}
          rowLabel={(dropout) => rowLabel(dropout, clock)}
          selectedKey={selectedId}
          selectOnMove
          onSelect={(dropout) => onSelect({ kind: 'dropout', dropoutId: dropout.dropoutId })}
          below={(dropout, isSelected) =>
            isSelected
              ? <DropoutDetails dropout={dropout} analysis={analysis} exposures={exposures} clock={clock} />
              : <PrecededLine dropout={dropout} exposures={exposures} />}
        />
      )}
    </div>
  );
}

function rowLabel(dropout: Dropout, clock: CaseClock): string {
  return `Dropout ${dropout.number}, ${siteText(dropout.siteKey)}, ${clock.clock(dropout.firstLostMs)}, lost ${rangeText(dropout.lostMs)}, SpO2 ${beforeAfterText(dropout)}`;
}

function NoDropouts({ analysis }: { readonly analysis: CaseAnalysis }): JSX.Element {
  const monitored = analysis.sites.filter((site) => site.monitored !== null);
  if (monitored.length === 0) return <p className="list-empty">No SpO2 was monitored in this record, so nothing can be said about dropouts.</p>;
  return <p className="list-empty">No dropout of at least {durationText(analysis.parameters.minDurationS * 1000)} was found. Shorter losses may be there; the definitions can be changed.</p>;
}

function dropoutColumns(analysis: CaseAnalysis, clock: CaseClock, styles: DropoutListProps['styles']): GridColumn<Dropout>[] {
  return [
    { id: 'number', header: 'No.', align: 'right', cell: (dropout) => dropout.number },
    {
      id: 'site', header: 'Site, onset', headerTitle: 'The onset is the first lost sample',
      cell: (dropout) => (
        <>
          <SiteName siteKey={dropout.siteKey} styles={styles} />
          <span className="figure under">{clock.clock(dropout.firstLostMs)}</span>
        </>
      ),
    },
    {
      id: 'lost', header: 'Lost', headerTitle: 'Mid estimate; beneath it the low and high limit',
      cell: (dropout) => (
        <>
          <span className="figure">{durationText(dropout.lostMs.mid)}</span>
          <span className="soft under figure">{limitsText(dropout.lostMs)}</span>
        </>
      ),
    },
    {
      id: 'spo2', headerTitle: 'Last good value before, first good value after', header: 'SpO2',
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
    { id: 'ended', header: 'Ended', cell: (dropout) => <span className="ended">{endingText(dropout, clock)}</span> },
  ];
}

function PrecededLine({ dropout, exposures }: { readonly dropout: Dropout; readonly exposures: ReadonlyMap<string, Exposure> }): JSX.Element {
  const patterns = dropout.patterns.length === 0 ? '' : `Pattern: ${dropout.patterns.join(', ')}. `;
  if (dropout.links.length === 0) return <span className="soft">{patterns}Nothing on record in the look-back before it.</span>;
  const more = dropout.links.length - LINKS_SHOWN;
  return (
    <span className="preceded">
      {patterns}
      <span className="soft">Preceded by </span>
      {dropout.links.slice(0, LINKS_SHOWN).map((link) => linkText(link, exposures)).join('; ')}
      {more > 0 ? <span className="soft"> and {more} more</span> : null}
    </span>
  );
}

interface DropoutDetailsProps {
  readonly dropout: Dropout;
  readonly analysis: CaseAnalysis;
  readonly exposures: ReadonlyMap<string, Exposure>;
  readonly clock: CaseClock;
}

function DropoutDetails({ dropout, analysis, exposures, clock }: DropoutDetailsProps): JSX.Element {
  const pressure = pressureText(dropout, analysis.parameters.pressureBeforeS);
  const instant = (ms: number | null): string => (ms === null ? 'never in this record' : clock.clock(ms));
  return (
    <dl className="details">
      <div>
        <dt>Preceded by</dt>
        <dd>
          {dropout.links.length === 0 ? 'nothing on record in the look-back' : (
            <ul>{dropout.links.map((link) => <li key={link.exposureId}>{linkText(link, exposures)}</li>)}</ul>
          )}
        </dd>
      </div>
      <div>
        <dt>Done during it</dt>
        <dd>
          {dropout.responses.length === 0 ? 'nothing on record' : (
            <ul>{dropout.responses.map((link) => <li key={link.exposureId}>{linkText(link, exposures)}</li>)}</ul>
          )}
        </dd>
      </div>
      <div><dt>Pressure before</dt><dd>{pressure ?? 'no pressure on record in the time before'}</dd></div>
      <div><dt>Perfusion index before</dt><dd>{dropout.perfusionBefore === null ? 'not recorded' : plainNumberText(dropout.perfusionBefore, 2)}</dd></div>
      <div>
        <dt>Bounds</dt>
        <dd>
          last good {instant(dropout.lastGoodMs)}, first lost {instant(dropout.firstLostMs)}; last lost {instant(dropout.lastLostMs)}, first good {instant(dropout.firstGoodMs)}
        </dd>
      </div>
      <div>
        <dt>Lost values</dt>
        <dd>
          {lostSamplesText(dropout)}
          {dropout.bridgedMs > 0 ? `; ${durationText(dropout.bridgedMs)} of information inside, taken off` : ''}
          {dropout.recordGapMs.high > 0 ? `; record gap inside of ${rangeText(dropout.recordGapMs)}${analysis.parameters.keepRecordGaps ? ', kept in' : ', taken off'}` : ''}
        </dd>
      </div>
      <div><dt>Patterns</dt><dd>{dropout.patterns.length === 0 ? 'none' : countText(dropout.patterns.length, 'pattern', 'patterns') + ': ' + dropout.patterns.join(', ')}</dd></div>
    </dl>
  );
}
