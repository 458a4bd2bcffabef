import type { JSX } from 'react';
import type { Interval } from '../../../core/base/interval.ts';
import type { BlindInterval, CaseAnalysis, Exposure, RecordGap } from '../../../core/model/analysis.ts';
import { countText, shareText } from '../../format/number-text.ts';
import { durationText, limitsText, rangeText, type CaseClock } from '../../format/time-text.ts';
import { FigureHead, FigureHelp } from '../../help/figure-help.tsx';
import type { Selection } from '../../state/selection.ts';
import { Button } from '../../widgets/button.tsx';
import { DataGrid, type GridColumn } from '../../widgets/data-grid.tsx';
import { Limits } from '../../widgets/limits.tsx';
import { exposureText, followersByExposure, siteText, type Follower } from './case-facts.ts';
import { blindOnlyDoubtful } from './evidence-words.ts';
import { HowWorkedOut } from './explanations.tsx';

export interface ListProps {
  readonly analysis: CaseAnalysis;
  readonly clock: CaseClock;
  readonly selection: Selection;
  readonly onSelect: (selection: Selection) => void;
}

/** Returns the times in which no site gave information. */
export function BlindList({ analysis, clock, selection, onSelect, onShow }: ListProps & { readonly onShow: (interval: Interval) => void }): JSX.Element {
  const second = <BlindSecond analysis={analysis} clock={clock} onShow={onShow} />;
  if (analysis.blind.length === 0) {
    return (
      <>
        <p className="list-empty">There was no time of at least {durationText(analysis.parameters.minDurationS * 1000)} in which no site gave information.</p>
        {second}
      </>
    );
  }
  const columns: GridColumn<BlindInterval>[] = [
    { id: 'number', header: 'No.', help: <FigureHelp figure="dropout-number" />, align: 'right', cell: (blind) => blind.number },
    { id: 'onset', header: 'From', help: <FigureHelp figure="blind-onset" />, headerTitle: 'First instant without any information', cell: (blind) => <span className="figure">{clock.clock(blind.firstLostMs)}</span> },
    {
      id: 'lost', header: 'Blind, mid', help: <FigureHelp figure="blind-time" />,
      cell: (blind) => (
        <>
          <span className="figure">{durationText(blind.lostMs.mid)}</span>
          <span className="soft under"><Limits text={limitsText(blind.lostMs)} /></span>
        </>
      ),
    },
    {
      id: 'ended', header: 'Ended', help: <FigureHelp figure="blind-ending" />,
      cell: (blind) => (blind.restoredBy === 'not restored' ? 'not restored' : blind.restoredSiteKey === null ? `back, ${blind.restoredBy}` : `back at the ${siteText(blind.restoredSiteKey)}`),
    },
  ];
  return (
    <>
      <DataGrid
        label="Blind intervals" columns={columns} rows={analysis.blind} rowKey={(blind) => String(blind.number)} selectOnMove
        selectedKey={selection.kind === 'blind' ? String(selection.number) : null}
        onSelect={(blind) => onSelect({ kind: 'blind', number: blind.number })}
      />
      {second}
    </>
  );
}

/** The second result of blind time: its sum, and the intervals that the first does not have. */
function BlindSecond({ analysis, clock, onShow }: { readonly analysis: CaseAnalysis; readonly clock: CaseClock; readonly onShow: (interval: Interval) => void }): JSX.Element {
  const { count, lostMs, shareMid } = analysis.blindTotalsDoubtfulLost;
  const only = blindOnlyDoubtful(analysis);
  return (
    <div className="evidence-part">
      <p>
        <strong>With doubtful values as lost:</strong> {countText(count, 'blind interval', 'blind intervals')}, {rangeText(lostMs)} in all, {shareText(shareMid)} of the monitored time. <FigureHelp figure="doubtful-as-lost" />
        {only.length === 0 ? ' None of them stands apart from those of the first result.' : ''}
      </p>
      {only.length === 0 ? null : (
        <table className="plain-table evidence-table">
          <caption className="caption-left">Only with doubtful values as lost</caption>
          <thead><tr><FigureHead figure="blind-onset">From</FigureHead><FigureHead figure="blind-time">Blind</FigureHead><FigureHead figure="blind-ending">Ended</FigureHead></tr></thead>
          <tbody>
            {only.map((blind) => (
              <tr key={blind.number}>
                <th scope="row">
                  <Button look="link" title="Show in the timeline" onClick={() => onShow({ startMs: blind.lastGoodMs, endMs: blind.firstGoodMs ?? analysis.bounds.endMs })}>{clock.clock(blind.firstLostMs)}</Button>
                </th>
                <td className="figure">{rangeText(blind.lostMs)}</td>
                <td>{blind.restoredBy}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <HowWorkedOut names={['blind', 'second', 'share']} />
    </div>
  );
}

/** Returns the times in which the recorder stopped. */
export function GapList({ analysis, clock, selection, onSelect }: ListProps): JSX.Element {
  if (!analysis.recordGapsCanBeTold) {
    return (
      <p className="list-empty">
        This export holds no channel but those of the oximeter, so a stop of the recorder cannot be told from a loss at the sensor. Every such time is counted as a loss.
      </p>
    );
  }
  if (analysis.recordGaps.length === 0) return <p className="list-empty">The recorder did not stop: there is no time in which every channel is missing.</p>;
  const rows = analysis.recordGaps.map((gap, index) => ({ gap, index }));
  type Row = { readonly gap: RecordGap; readonly index: number };
  const columns: GridColumn<Row>[] = [
    { id: 'number', header: 'No.', help: <FigureHelp figure="record-gap" />, align: 'right', cell: (row) => row.index + 1 },
    { id: 'from', header: 'Last row before', help: <FigureHelp figure="record-gap" />, cell: ({ gap }) => <span className="figure">{clock.clock(gap.lastRowMs)}</span> },
    { id: 'to', header: 'First row after', help: <FigureHelp figure="record-gap" />, cell: ({ gap }) => <span className="figure">{clock.clock(gap.firstRowMs)}</span> },
    {
      id: 'gap', header: 'Missing, mid', help: <FigureHelp figure="record-gap" />,
      cell: ({ gap }) => (
        <>
          <span className="figure">{durationText(gap.gapMs.mid)}</span>
          <span className="soft under"><Limits text={limitsText(gap.gapMs)} /></span>
        </>
      ),
    },
  ];
  return (
    <>
      <DataGrid
        label="Record gaps" columns={columns} rows={rows} rowKey={(row) => String(row.index)} selectOnMove
        selectedKey={selection.kind === 'record gap' ? String(selection.index) : null}
        onSelect={(row) => onSelect({ kind: 'record gap', index: row.index })}
      />
      <p className="list-note">In a record gap every channel is missing, pressure and ECG too: the recorder stopped, not the sensor. By the definition in use this time is {analysis.parameters.keepRecordGaps ? 'kept in' : 'taken out of'} lost and monitored time.</p>
    </>
  );
}

/** Returns every exposure with the dropouts that followed it, and those that none followed. */
export function ExposureList({ analysis, clock, selection, onSelect }: ListProps): JSX.Element {
  if (analysis.exposures.length === 0) {
    return <p className="list-empty">The record names no vasopressor, position or other exposure. That does not mean that there was none.</p>;
  }
  const followers = followersByExposure(analysis);
  const columns: GridColumn<Exposure>[] = [
    { id: 'at', header: 'Time', cell: (exposure) => <span className="figure">{clock.clock(exposure.atMs)}</span> },
    {
      id: 'what', header: 'Exposure', help: <FigureHelp figure="exposures" />,
      cell: (exposure) => (
        <>
          <span className={exposure.kind === 'vasopressor bolus' || exposure.kind === 'infusion change' ? 'pressor' : undefined}>{exposureText(exposure)}</span>
          <span className="soft under">{exposure.kind}{reachText(exposure, clock)}</span>
        </>
      ),
    },
    { id: 'followed', header: 'Dropouts that followed', help: <FigureHelp figure="dropouts-that-followed" />, cell: (exposure) => <Followers followers={followers.get(exposure.exposureId) ?? []} onSelect={onSelect} /> },
  ];
  return (
    <DataGrid
      label="Exposures" columns={columns} rows={analysis.exposures} rowKey={(exposure) => exposure.exposureId} selectOnMove
      selectedKey={selection.kind === 'exposure' ? selection.exposureId : null}
      onSelect={(exposure) => onSelect({ kind: 'exposure', exposureId: exposure.exposureId })}
      below={(exposure, isSelected) => {
        const remarks = [...(exposure.manual ? ['time typed by hand'] : []), ...exposure.flags];
        if (!isSelected && remarks.length === 0) return null;
        const written = exposure.sourceText === '' ? [] : [`as written: “${exposure.sourceText}”`];
        return <span className="soft">{[...remarks, ...written].join('; ')}</span>;
      }}
    />
  );
}

function reachText(exposure: Exposure, clock: CaseClock): string {
  const lasted = exposure.endMs === null ? null : `lasting until ${clock.shortClock(exposure.endMs)}`;
  if (exposure.windowMs === null) return lasted === null ? '' : `, ${lasted}`;
  return `, looked at for ${durationText(exposure.windowMs)}${lasted === null ? '' : ` and while ${lasted}`}`;
}

function Followers({ followers, onSelect }: { readonly followers: readonly Follower[]; readonly onSelect: ListProps['onSelect'] }): JSX.Element {
  if (followers.length === 0) return <span className="soft">none followed</span>;
  return (
    <ul className="followers">
      {followers.map(({ dropout, link }) => (
        <li key={dropout.dropoutId}>
          <Button look="link" onClick={() => onSelect({ kind: 'dropout', dropoutId: dropout.dropoutId })}>
            no. {dropout.number}, {siteText(dropout.siteKey)}
          </Button>
          {' '}
          {durationText(link.leadMs)} later, {link.certainty}
        </li>
      ))}
    </ul>
  );
}
