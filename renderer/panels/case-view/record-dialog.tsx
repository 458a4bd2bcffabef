import type { JSX } from 'react';
import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import { QUANTITY_FACTS } from '../../../core/model/quantity.ts';
import { recordedWords } from '../../../core/model/recorded-words.ts';
import { byteText, countText, numberText, shareText, unitText } from '../../format/number-text.ts';
import { clockOffsetText, durationText, type CaseClock } from '../../format/time-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { makingText, siteText } from './case-facts.ts';

export interface RecordDialogProps {
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis;
  readonly clock: CaseClock;
  readonly onClose: () => void;
}

const SEVERITY_WORD = { error: 'Fault', warning: 'Caution', note: 'Note' } as const;

/** Returns everything that is known about the record itself. */
export function RecordDialog({ record, analysis, clock, onClose }: RecordDialogProps): JSX.Element {
  const findings = [...record.findings, ...analysis.findings];
  return (
    <Dialog title={`The record of ${record.caseId}`} onClose={onClose} width="wide">
      <h3>Findings</h3>
      {findings.length === 0 ? <p>Nothing was noticed about this record.</p> : (
        <ul className="findings">
          {findings.map((finding, index) => (
            <li key={`${finding.code} ${index}`}>
              <strong>{SEVERITY_WORD[finding.severity]}.</strong> {finding.message}
              {finding.count > 1 ? ` (${countText(finding.count, 'time', 'times')})` : ''}
              {finding.firstLine === undefined ? '' : ` First at line ${finding.firstLine}${sourceName(record, finding.sourceIndex)}.`}
            </li>
          ))}
        </ul>
      )}
      <h3>SpO2 by site</h3>
      <table className="plain-table">
        <thead><tr><th scope="col">Site</th><FigureHead figure="recording-interval">Recorded</FigureHead><FigureHead figure="how-made">How made</FigureHead><FigureHead figure="monitored-time">Monitored</FigureHead><FigureHead figure="doubtful-time">Doubtful</FigureHead><FigureHead figure="sample-classes">Samples by class</FigureHead></tr></thead>
        <tbody>
          {analysis.sites.map((site) => (
            <tr key={site.siteKey}>
              <th scope="row">{siteText(site.siteKey)}</th>
              <td>{recordedWords(site)}</td>
              <td>{makingText(site, record)}</td>
              <td>{site.monitored === null ? (site.notMonitoredReason ?? 'not monitored') : `${clock.clock(site.monitored.startMs)} to ${clock.clock(site.monitored.endMs)}`}</td>
              <td>{durationText(site.doubtfulMs)}{site.monitoredMs > 0 ? ` (${shareText(site.doubtfulMs / site.monitoredMs)})` : ''}</td>
              <td>{Object.entries(site.statusCounts).filter(([, count]) => count > 0).map(([status, count]) => `${status} ${numberText(count)}`).join(', ')}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <h3>Channels</h3>
      <table className="plain-table">
        <thead><tr><th scope="col">As the file names it</th><FigureHead figure="reading-of-a-column">Read as</FigureHead><FigureHead figure="values-read" className="align-right">Values</FigureHead><FigureHead figure="values-read" className="align-right">Without a value</FigureHead><th scope="col">File</th></tr></thead>
        <tbody>
          {record.channels.map((channel) => {
            const missing = channel.value.reduce((count, value) => (Number.isNaN(value) ? count + 1 : count), 0);
            const unit = unitText(channel.unit);
            return (
              <tr key={channel.channelId}>
                <th scope="row">{channel.label}</th>
                <td>{QUANTITY_FACTS[channel.quantity].name}{channel.site === null ? '' : `, ${siteText(channel.sensor === '' ? channel.site : `${channel.site} ${channel.sensor}`)}`}{unit === '' ? '' : `, ${unit}`}</td>
                <td className="align-right">{numberText(channel.value.length - missing)}</td>
                <td className="align-right">{numberText(missing)}</td>
                <td>{record.sources[channel.sourceIndex]?.name ?? ''}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
      {Object.keys(record.attributes).length === 0 ? null : (
        <>
          <h3>From the case list</h3>
          <dl className="details">{Object.entries(record.attributes).map(([name, value]) => <div key={name}><dt>{name}</dt><dd>{value}</dd></div>)}</dl>
        </>
      )}
      <h3>Files it came from</h3>
      <ul className="sources">
        {record.sources.map((source, index) => (
          <li key={`${source.name} ${index}`}>{source.name} ({source.kind}, {byteText(source.byteLength)}{source.clockOffsetMs === 0 ? '' : `; ${clockOffsetText(source.clockOffsetMs)}`}), SHA-256 <code>{source.sha256}</code></li>
        ))}
      </ul>
      <p className="soft">Analysed by version {analysis.productVersion}. Times are {clock.meaning}.</p>
    </Dialog>
  );
}

function sourceName(record: CaseRecord, sourceIndex: number | undefined): string {
  const source = sourceIndex === undefined ? undefined : record.sources[sourceIndex];
  return source === undefined ? '' : ` of ${source.name}`;
}
