import { useDeferredValue, useMemo, useSyncExternalStore, type JSX } from 'react';
import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import { saturationText } from '../../format/number-text.ts';
import type { CaseClock } from '../../format/time-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import type { Viewport } from '../../state/viewport.ts';
import { sampleAt } from '../../timeline/cursor-values.ts';
import { buildTrace } from '../../timeline/plot-adapter.ts';
import { chosenInstants, MAX_VALUE_ROWS } from '../../timeline/value-rows.ts';
import { siteText } from '../case-view/case-facts.ts';

export interface ValuesTableProps {
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis;
  readonly siteKeys: readonly string[];
  readonly viewport: Viewport;
  readonly clock: CaseClock;
}

/** Returns SpO2 of the sensors in the visible window as a table: recorded instants of the first, evenly chosen, never averaged and never shifted. */
export function ValuesTable({ record, analysis, siteKeys, viewport, clock }: ValuesTableProps): JSX.Element {
  const window = useDeferredValue(useSyncExternalStore(viewport.subscribe, viewport.get));
  const lines = useMemo(
    () =>
      siteKeys.flatMap((siteKey) => {
        const channelId = analysis.sites.find((site) => site.siteKey === siteKey)?.channelId;
        const channel = record.channels.find((candidate) => candidate.channelId === channelId);
        return channel === undefined ? [] : [{ siteKey, trace: buildTrace(channel, analysis.parameters.spo2Plausible) }];
      }),
    [siteKeys, analysis, record],
  );
  const { atMs, every } = chosenInstants(lines[0]?.trace.gridMs ?? new Float64Array(0), window, MAX_VALUE_ROWS);
  return (
    <table className="plain-table">
      <caption>SpO2 in this window ({every === 1 ? 'every recorded row' : `one recorded row in ${every}; values as recorded, not averages`})</caption>
      <thead><tr><th scope="col">Time</th>{lines.map(({ siteKey }) => <FigureHead figure="values-at-the-cursor" key={siteKey} className="align-right">{siteText(siteKey)}</FigureHead>)}</tr></thead>
      <tbody>
        {atMs.map((ms) => (
          <tr key={ms}>
            <th scope="row" className="figure">{clock.clock(ms)}</th>
            {lines.map(({ siteKey, trace }) => <td key={siteKey} className="align-right figure">{saturationText(trace.value[sampleAt(trace, ms)] ?? null)}</td>)}
          </tr>
        ))}
      </tbody>
    </table>
  );
}
