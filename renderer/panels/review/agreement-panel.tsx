import { useEffect, useState, type JSX } from 'react';
import type { AgreementTable, BoundDifferences, PairAgreement, ReviewAgreement } from '../../../core/model/review-agreement.ts';
import { AGREEMENT_SCALES, DEFAULT_AGREEMENT_OPTIONS, FEW_CASES } from '../../../core/model/review-agreement.ts';
import { saveFile } from '../../charts/save-file.ts';
import { countText, numberText, plainNumberText } from '../../format/number-text.ts';
import { FigureHead, FigureHelp } from '../../help/figure-help.tsx';
import { readingOf } from '../../state/preferences.ts';
import { describeProblem, type Problem } from '../../state/problem.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { EmptyState, Waiting } from '../../widgets/empty-state.tsx';
import { NumberField, SelectField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { boundsText, figureText, hiddenText, limitsNote, SCALE_NAMES, signedSeconds, steadyNumberText } from './agreement-words.ts';
import './two-readers.css';

/** Returns how far two readers agree, with the tables that it comes from. */
export function AgreementPanel(): JSX.Element {
  const session = useSession();
  const state = useStore(session.reviewAgreement);
  const [readers, setReaders] = useState<readonly [string, string] | null>(null);
  const [seed, setSeed] = useState(DEFAULT_AGREEMENT_OPTIONS.seed);
  const preferences = useStore(session.preferences);
  const { reader } = preferences;
  const { isBlinded } = readingOf(preferences);
  useEffect(() => {
    void session.reviewAgreement.ask({ options: DEFAULT_AGREEMENT_OPTIONS, by: reader, blinded: isBlinded });
  }, [session, reader, isBlinded]);
  const answer = state.kind === 'ready' ? state.answer : state.kind === 'working' ? state.before : null;
  const ask = (next: readonly [string, string] | null): void => void session.reviewAgreement.ask({ options: { ...DEFAULT_AGREEMENT_OPTIONS, readers: next === null ? null : [next[0], next[1]], seed }, by: reader, blinded: isBlinded });
  return (
    <div className="page review agreement">
      <h1>Agreement</h1>
      <p className="prose">
        How far two readers say the same of the same dropouts, each without having been shown what the other said. The dropouts were found by the program: those that it missed are not among them, so nothing here says how well dropouts are found. Two readers can agree on the same mistake.
      </p>
      {state.kind === 'working' ? <div className="row"><Waiting>Going through what was said{state.total === 0 ? '' : `: ${numberText(state.done)} of ${countText(state.total, 'case', 'cases')}`}…</Waiting><Button onClick={session.reviewAgreement.cancel}>Cancel</Button></div> : null}
      {state.kind === 'cancelled' ? <Notice tone="note" title="The agreement was not worked out: it was cancelled." live><Button onClick={() => ask(readers)}>Work it out</Button></Notice> : null}
      {state.kind === 'failed' ? <Notice tone="problem" title="The agreement could not be worked out." live><p>{state.problem.message} {state.problem.remedy ?? ''}</p><Button onClick={() => ask(readers)}>Try again</Button></Notice> : null}
      {answer === null ? null : (
        <>
          {answer.hidden === 0 ? null : <Notice tone="note"><p>{hiddenText(answer.hidden, reader)}</p></Notice>}
          {answer.leftOut.length === 0 ? null : <Notice tone="caution" title={`${countText(answer.leftOut.length, 'case is', 'cases are')} left out`}><ul>{answer.leftOut.map(({ caseKey, caseId, reason }) => <li key={caseKey}>{caseId}: {reason}</li>)}</ul></Notice>}
          {answer.agreement.pair === null ? <NoPair agreement={answer.agreement} hidden={answer.hidden} /> : (
            <>
              <div className="draw-form">
                <SelectField
                  label="Readers" value={`${answer.agreement.pair.first}\n${answer.agreement.pair.second}`}
                  choices={answer.agreement.pairs.map(({ first, second, common }) => ({ value: `${first}\n${second}`, label: `${first} and ${second}: ${countText(common, 'dropout', 'dropouts')} in common` }))}
                  onChange={(value) => {
                    const [first = '', second = ''] = value.split('\n');
                    setReaders([first, second]);
                    ask([first, second]);
                  }}
                />
                <NumberField label="Seed of the draws" help={<FigureHelp figure="agreement-parameters" />} unit="" wholeOnly min={0} max={4_294_967_295} value={seed} onChange={setSeed} />
                <Button disabled={state.kind === 'working' || seed === answer.agreement.options.seed} onClick={() => ask(readers)}>Draw anew</Button>
                <SaveTables agreement={answer.agreement} />
              </div>
              <PairPart agreement={answer.agreement} pair={answer.agreement.pair} />
              <ManyPart agreement={answer.agreement} />
            </>
          )}
        </>
      )}
    </div>
  );
}

function NoPair({ agreement, hidden }: { readonly agreement: ReviewAgreement; readonly hidden: number }): JSX.Element {
  const soFar = agreement.readers.map(({ by, blind, unblinded }) => `${by} ${numberText(blind)} blinded${unblinded === 0 ? '' : `, ${numberText(unblinded)} not`}`).join('; ');
  return (
    <EmptyState title={hidden === 0 ? 'No two readers have read a dropout in common, both blinded' : 'Nothing that may be shown yet'}>
      {hidden > 0 ? <p>Call {hidden === 1 ? 'that case' : 'those cases'} read, or have what others said shown, and {hidden === 1 ? 'its' : 'their'} dropouts come into the tables.</p> : null}
      {soFar === '' && hidden > 0 ? null : <p>{soFar === '' ? 'Nobody has given a verdict yet. Let two readers read the same cases, each under a name of their own,' : `So far: ${soFar}. Let a second reader read the same cases under another name,`} blinded, on this computer or on another: reviews travel under Exchange.</p>}
    </EmptyState>
  );
}

function SaveTables({ agreement }: { readonly agreement: ReviewAgreement }): JSX.Element {
  const session = useSession();
  const [problem, setProblem] = useState<Problem | null>(null);
  const save = async (): Promise<void> => {
    try {
      const texts = await session.host.agreementTexts({ agreement });
      saveFile('agreement.csv', new Blob([texts.agreement], { type: 'text/csv' }));
      saveFile('verdict-table.csv', new Blob([texts.verdicts], { type: 'text/csv' }));
      setProblem(null);
    } catch (error) {
      setProblem(describeProblem(error, 'Saving the tables'));
    }
  };
  return <><Button onClick={() => void save()}>Save as CSV</Button>{problem === null ? null : <span className="concern" role="alert">{problem.message} {problem.remedy ?? ''}</span>}</>;
}

/** Says what the limits rest on; a single case says nothing of how cases differ, so it has none. */
function limitsText({ cases, isClustered }: PairAgreement, { conf, replicates, seed }: ReviewAgreement['options']): string {
  if (isClustered && cases === 1) return 'There are no limits: dropouts of one case belong together, and one case does not tell how cases differ.';
  return `Limits hold ${plainNumberText(conf * 100)} %; ${isClustered ? `some cases have several of these dropouts, so whole cases are drawn anew, ${numberText(replicates)} times, seed ${seed}` : 'no case has more than one of these dropouts, so they count as independent'}.`;
}

function PairPart({ agreement, pair }: { readonly agreement: ReviewAgreement; readonly pair: PairAgreement }): JSX.Element {
  const { options } = agreement;
  return (
    <>
      <p>
        <strong>{countText(pair.common, 'dropout', 'dropouts')}</strong> of {countText(pair.cases, 'case', 'cases')} read by both, blinded.
        {pair.unblinded === 0 ? '' : ` ${countText(pair.unblinded, 'more was', 'more were')} read by both, but not both blinded: in no figure.`}
        {agreement.without === 0 ? '' : ` ${countText(agreement.without, 'reading stands', 'readings stand')} at no dropout of today: in no figure.`}
        {' '}{limitsText(pair, options)}
      </p>
      {pair.cases < FEW_CASES && !(pair.isClustered && pair.cases === 1) ? <Notice tone="caution" title={`Limits from fewer than ${FEW_CASES} cases are too narrow`}><p>Read them as a hint of how little is known, not as limits.</p></Notice> : null}
      {pair.tables.map((table) => <TablePart key={table.scale} table={table} pair={pair} isFaint={pair.cases < FEW_CASES} />)}
      <BoundsPart pair={pair} />
    </>
  );
}

/** A figure with its limits, which stand back where too few cases make them a hint only. */
function FigureWithLimits({ figure, isFaint }: { readonly figure: Parameters<typeof figureText>[0]; readonly isFaint: boolean }): JSX.Element {
  const [estimate, limits] = figureText(figure);
  return <>{estimate}{limits === null ? null : <> <span className={isFaint ? 'soft' : undefined}>{limits}</span></>}</>;
}

function TablePart({ table, pair, isFaint }: { readonly table: AgreementTable; readonly pair: PairAgreement; readonly isFaint: boolean }): JSX.Element {
  const categories: readonly string[] = AGREEMENT_SCALES[table.scale].categories;
  const rowTotal = (i: number): number => (table.counts[i] ?? []).reduce((sum, v) => sum + v, 0);
  const columnTotal = (j: number): number => table.counts.reduce((sum, row) => sum + (row[j] ?? 0), 0);
  return (
    <section aria-label={SCALE_NAMES[table.scale]} className="agreement-part">
      <h2>{SCALE_NAMES[table.scale]}</h2>
      <div className="agreement-side">
        <div className="grid-scroll" tabIndex={0} role="group" aria-label={`Table of verdicts: ${SCALE_NAMES[table.scale]}`}>
          <table className="plain-table verdict-table">
            <caption>{pair.first} in rows, {pair.second} in columns; {countText(table.dropouts, 'dropout', 'dropouts')}</caption>
            <thead><tr><td />{categories.map((word) => <FigureHead figure="judged-together" key={word}>{word}</FigureHead>)}<FigureHead figure="judged-together" className="align-right">all</FigureHead></tr></thead>
            <tbody>
              {categories.map((word, i) => (
                <tr key={word}>
                  <th scope="row">{word}</th>
                  {categories.map((other, j) => <td key={other} className={`align-right${i === j ? ' agrees' : ''}`}>{numberText(table.counts[i]?.[j] ?? 0)}</td>)}
                  <td className="align-right">{numberText(rowTotal(i))}</td>
                </tr>
              ))}
              <tr><th scope="row">all</th>{categories.map((word, j) => <td key={word} className="align-right">{numberText(columnTotal(j))}</td>)}<td className="align-right">{numberText(table.dropouts)}</td></tr>
            </tbody>
          </table>
        </div>
        <div className="grid-scroll">
        <table className="plain-table">
          <caption>Figures of this table</caption>
          <thead><tr><FigureHead figure="agreement">Figure</FigureHead><FigureHead figure="agreement">Value and limits</FigureHead><FigureHead figure="agreement-limits">Limits from</FigureHead></tr></thead>
          <tbody>
            {table.figures.map((figure) => (
              <tr key={figure.figure}><th scope="row">{figure.figure}</th><td className="figure"><FigureWithLimits figure={figure} isFaint={isFaint} /></td><td>{limitsNote(figure)}</td></tr>
            ))}
            <tr><th scope="row">agreement by chance, of these margins</th><td className="figure">{table.expectedAgreement === null ? 'not defined' : steadyNumberText(table.expectedAgreement, true)}</td><td /></tr>
            <tr><th scope="row">highest kappa of these margins</th><td className="figure">{table.kappaMax === null ? 'not defined' : steadyNumberText(table.kappaMax, false)}</td><td /></tr>
          </tbody>
        </table>
        </div>
      </div>
    </section>
  );
}

const BOUND_NAMES: Readonly<Record<BoundDifferences['bound'], string>> = { onset: 'Onset', end: 'End', length: 'Length' };

function BoundsPart({ pair }: { readonly pair: PairAgreement }): JSX.Element {
  const { corrected, differences } = pair.bounds;
  return (
    <section aria-label="Corrected bounds" className="agreement-part">
      <h2>Corrected bounds</h2>
      <p>{boundsText(pair.bounds)}</p>
      {corrected === 0 ? null : (
        <div className="grid-scroll">
        <table className="plain-table">
          <caption>{pair.second} minus {pair.first}; onset and end are the middle of the time in which they lie</caption>
          <thead><tr><th scope="col">Bound</th><FigureHead figure="dropouts" className="align-right">Dropouts</FigureHead><FigureHead figure="bounds-agreement" className="align-right">Median</FigureHead><FigureHead figure="bounds-agreement" className="align-right">Mean</FigureHead><FigureHead figure="bounds-agreement" className="align-right">Limits of agreement</FigureHead></tr></thead>
          <tbody>
            {differences.map((own) => (
              <tr key={own.bound}>
                <th scope="row">{BOUND_NAMES[own.bound]}</th>
                <td className="align-right">{numberText(own.dropouts)}</td>
                <td className="align-right">{signedSeconds(own.medianMs)}</td>
                <td className="align-right">{signedSeconds(own.biasMs)}</td>
                <td className="align-right">{own.lowerMs === null ? 'not from one case' : `${signedSeconds(own.lowerMs)} to ${signedSeconds(own.upperMs)}`}</td>
              </tr>
            ))}
          </tbody>
        </table>
        </div>
      )}
    </section>
  );
}

function ManyPart({ agreement }: { readonly agreement: ReviewAgreement }): JSX.Element | null {
  if (agreement.many === null) return null;
  return (
    <section aria-label="All readers together" className="agreement-part">
      <h2>All readers together</h2>
      <p>{agreement.readers.filter(({ blind }) => blind > 0).map(({ by, blind }) => `${by} (${numberText(blind)})`).join(', ')}. Krippendorff’s alpha and AC1 take dropouts that at least two read; Fleiss’ kappa those that all read.</p>
      <div className="grid-scroll">
      <table className="plain-table">
        <thead><tr><th scope="col">Scale</th><FigureHead figure="agreement">Figure</FigureHead><FigureHead figure="agreement">Value and limits</FigureHead><FigureHead figure="agreement-limits">Limits from</FigureHead><FigureHead figure="dropouts" className="align-right">Dropouts</FigureHead><FigureHead figure="agreement-limits" className="align-right">Cases</FigureHead></tr></thead>
        <tbody>
          {agreement.many.map((own) => (
            <tr key={`${own.scale} ${own.figure}`}>
              <td>{SCALE_NAMES[own.scale]}</td><th scope="row">{own.figure}</th><td className="figure"><FigureWithLimits figure={own} isFaint={own.cases < FEW_CASES} /></td><td>{limitsNote({ ...own, interval: 'cases drawn anew' })}</td><td className="align-right">{numberText(own.dropouts)}</td><td className="align-right">{numberText(own.cases)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      </div>
    </section>
  );
}
