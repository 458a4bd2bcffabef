import { useEffect, useRef, useState, type JSX } from 'react';
import type { CaseSummary } from '../../../core/protocol/host-api.ts';
import { countText, numberText, shareText } from '../../format/number-text.ts';
import { dateText, durationText, intervalText } from '../../format/time-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { describeProblem } from '../../state/problem.ts';
import { useSession, type Session } from '../../state/session.ts';
import { Button } from '../../widgets/button.tsx';
import { describeCoverage, type Coverage } from './coverage.ts';

type Entry = { readonly kind: 'known'; readonly coverage: Coverage } | { readonly kind: 'failed'; readonly message: string };

/** Cases shown and looked into without being asked, and at each asking; opening a case costs the host a moment each. */
const LOOKED_INTO = 10;
const MORE = 50;

async function readCoverage(session: Session, caseKey: string): Promise<Entry> {
  try {
    const decoded = session.decode(await session.host.openCase(caseKey));
    if (!decoded.ok) return { kind: 'failed', message: decoded.failure.message };
    const { record, analysis } = decoded.value;
    if (analysis === null) return { kind: 'failed', message: 'not analysed yet' };
    return { kind: 'known', coverage: describeCoverage(record, analysis) };
  } catch (error) {
    return { kind: 'failed', message: describeProblem(error, 'Looking into the case').message };
  }
}

/** Returns what each imported case covers, with a button that opens it. */
export function CoverageTable({ cases }: { readonly cases: readonly CaseSummary[] }): JSX.Element {
  const session = useSession();
  const [limit, setLimit] = useState(LOOKED_INTO);
  const [entries, setEntries] = useState<ReadonlyMap<string, Entry>>(new Map());

  const looked = useRef(new Set<string>());
  useEffect(() => {
    // Another reading of the import may have changed any of them.
    looked.current = new Set();
    setEntries(new Map());
  }, [cases]);
  useEffect(() => {
    let isCurrent = true;
    const lookIn = async (): Promise<void> => {
      for (const { caseKey, problem } of cases.slice(0, limit)) {
        if (!isCurrent) return;
        if (problem !== null || looked.current.has(caseKey)) continue;
        const entry = await readCoverage(session, caseKey);
        if (!isCurrent) return;
        looked.current.add(caseKey);
        setEntries((known) => new Map(known).set(caseKey, entry));
      }
    };
    void lookIn();
    return () => {
      isCurrent = false;
    };
  }, [cases, limit, session]);

  return (
    <>
      <div className="grid-scroll">
        <table className="plain-table">
          <thead>
            <tr>
              <th scope="col">Case</th><th scope="col">Date</th><FigureHead figure="recorded-times">Span</FigureHead><FigureHead figure="reading-of-a-column" className="align-right">Channels</FigureHead><FigureHead figure="monitored-time">SpO2 by site</FigureHead>
              <FigureHead figure="record-gap">Record gaps</FigureHead><FigureHead figure="dropouts" className="align-right">Dropouts</FigureHead><th scope="col"><span className="visually-hidden">Open</span></th>
            </tr>
          </thead>
          <tbody>
            {cases.slice(0, limit).map((summary) => (
              <tr key={summary.caseKey}>
                <th scope="row">{summary.caseId}</th>
                <td className="unbroken">{dateText(summary.date)}</td>
                <CoverageCells summary={summary} entry={entries.get(summary.caseKey)} />
                <td className="align-right">{numberText(summary.dropouts)}</td>
                <td className="align-right"><Button onClick={() => session.openCase(summary.caseKey)} aria-label={`Open ${summary.caseId}`}>Open</Button></td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {cases.length > limit ? <p className="row"><Button onClick={() => setLimit(limit + MORE)}>Show {numberText(Math.min(MORE, cases.length - limit))} more</Button><span className="soft">{numberText(limit)} of {numberText(cases.length)} cases are shown; the library has them all.</span></p> : null}
    </>
  );
}

function CoverageCells({ summary, entry }: { readonly summary: CaseSummary; readonly entry: Entry | undefined }): JSX.Element {
  if (summary.problem !== null) return <td colSpan={4} className="problem-line">{summary.problem}</td>;
  if (entry === undefined) return <td colSpan={4} className="soft">looking into it…</td>;
  if (entry.kind === 'failed') return <td colSpan={4} className="problem-line">{entry.message}</td>;
  const { coverage } = entry;
  return (
    <>
      <td>{durationText(coverage.spanMs)}</td>
      <td className="align-right">{numberText(coverage.channels)}</td>
      <td>
        {coverage.sites.length === 0 ? 'no SpO2' : (
          <ul className="bare-list">
            {coverage.sites.map((site) => (
              <li key={site.siteKey}>{site.siteKey}: {intervalText(site.intervalMs)}, {durationText(site.monitoredMs)} monitored, {shareText(site.usableShare)} usable</li>
            ))}
          </ul>
        )}
      </td>
      <td>{coverage.recordGaps === 0 ? 'none' : `${countText(coverage.recordGaps, 'gap', 'gaps')}, longest ${durationText(coverage.longestGapMs)}`}</td>
    </>
  );
}
