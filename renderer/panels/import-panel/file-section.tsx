import { useState, type JSX } from 'react';
import type { ColumnReport, FileReport, Guess, RejectedGroup, RejectedRow } from '../../../core/model/import-report.ts';
import { MAX_CLOCK_OFFSET_S } from '../../../core/model/mapping.ts';
import { SITES } from '../../../core/model/site.ts';
import { byteText, countText, numberText } from '../../format/number-text.ts';
import { clockOffsetText } from '../../format/time-text.ts';
import { FigureHead, FigureHelp } from '../../help/figure-help.tsx';
import { alternativeOverrule, columnOverrule, type Overrule } from '../../state/overrules.ts';
import { Button } from '../../widgets/button.tsx';
import { Disclosure } from '../../widgets/disclosure.tsx';
import { NumberField, SelectField, TextField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { clockOffsetOverrule, COLUMN_CHOICES, columnReading, FILE_CHOICES, fileOverrule, takesSite } from './reading-choices.ts';
import { KeptOut } from './kept-out.tsx';
import { becauseText, certaintyText, delimiterText, encodingText, kindText, layoutText, openGuesses, rejectedRowsOf, rowsText } from './report-text.ts';

export interface FileSectionProps {
  readonly report: FileReport;
  readonly rejectedRows: readonly RejectedRow[];
  readonly rejectedRowsCut: boolean;
  /** What is said about this file now. */
  readonly said: readonly Overrule[];
  readonly isOpen: boolean;
  /** Whether at least one other file of this import was read. */
  readonly othersAreIn: boolean;
  readonly onSay: (overrule: Overrule) => void;
  readonly onUnsay: (field: string) => void;
  /** Lays the first rows out beside what they become. */
  readonly onLayOut: (atLine: number | null) => void;
}

/** Returns what became of one file, and the ways to overrule it. */
export function FileSection(props: FileSectionProps): JSX.Element {
  const { report, said } = props;
  const concerns = [
    report.failure === null ? null : 'could not be read',
    report.rows_rejected > 0 ? countText(report.rows_rejected, 'row rejected', 'rows rejected') : null,
    openGuesses(report).length > 0 ? countText(openGuesses(report).length, 'guess to look at', 'guesses to look at') : null,
    said.length > 0 ? countText(said.length, 'overrule', 'overrules') : null,
  ].filter((part) => part !== null);
  return (
    <details className="disclosure file-section" open={props.isOpen} data-file={report.file}>
      <summary>
        <span className="file-name">{report.file}</span>
        <span className="soft"> {report.failure === null ? `${kindText(report.kind)}; ${rowsText(report)}` : ''}</span>
        {concerns.length === 0 ? null : <span className="concern">{concerns.join(', ')}</span>}
      </summary>
      <div className="disclosure-body">
        {report.failure === null ? null : (
          <Notice tone="problem" title={`${report.file.slice(report.file.lastIndexOf('/') + 1)} could not be read.${props.othersAreIn ? ' The others are in.' : ''}`}>
            <p>{report.failure.message}{report.failure.line === null || !isLayable(report) || report.failure.message.includes(`line ${report.failure.line}`) ? '' : ` (line ${report.failure.line})`}</p>
            {report.failure.remedy === null ? null : <p>What to do: {report.failure.remedy}</p>}
          </Notice>
        )}
        {report.kind === 'unknown' && report.failure !== null ? null : (
          <p className="file-facts">
            Read as {kindText(report.kind)}; layout {layoutText(report.layout)}; encoding {encodingText(report.encoding)}; cells parted by {delimiterText(report.delimiter)}; {byteText(report.byte_length)}.
            {report.cases.length === 0 ? ' It belongs to no case.' : ` Case${report.cases.length === 1 ? '' : 's'}: ${report.cases.slice(0, 8).join(', ')}${report.cases.length > 8 ? ` and ${report.cases.length - 8} more` : ''}.`}
          </p>
        )}
        {isLayable(report) ? <p className="file-sum"><strong>{rowsText(report)}.</strong>{report.mapping === undefined ? '' : ` Read as the saved mapping “${report.mapping}” says.`}</p> : null}
        {isLayable(report) ? <p><Button onClick={() => props.onLayOut(null)} aria-label={`Lay out its first rows and settle how they are read… ${report.file}`}>Lay out its first rows and settle how they are read…</Button></p> : null}
        {report.rejected.map((group) => (
          <RejectedRows key={`${group.reason} ${group.first_line}`} group={group} rows={rejectedRowsOf(props.rejectedRows, report.file, group.reason)} isCut={props.rejectedRowsCut} onLayOut={props.onLayOut} />
        ))}
        <KeptOut withheld={report.withheld ?? []} columns={report.columns} said={said} onSay={props.onSay} onUnsay={props.onUnsay} />
        {report.notes.length === 0 ? null : <ul className="notes">{report.notes.map((note) => <li key={note}>{note}</li>)}</ul>}
        {report.guesses.length === 0 ? null : (
          <section className="guesses">
            <h3 className="small-heading">Where the file could be read in more than one way</h3>
            {report.guesses.map((guess) => <GuessEntry key={`${guess.field} ${guess.taken}`} guess={guess} said={said} onSay={props.onSay} onUnsay={props.onUnsay} />)}
          </section>
        )}
        {report.columns.length === 0 ? null : (
          <Disclosure summary={`Columns and what each was read as (${report.columns.length})`} isOpen={report.columns.length <= 12}>
            <ColumnTable columns={report.columns} said={said} onSay={props.onSay} onUnsay={props.onUnsay} />
          </Disclosure>
        )}
        <Disclosure summary="Say how this file is to be read" isOpen={report.failure !== null && isLayable(report)}>
          <FileOverrules report={report} said={said} onSay={props.onSay} onUnsay={props.onUnsay} />
        </Disclosure>
        {said.length === 0 ? null : (
          <div className="said">
            <h3 className="small-heading">What you said about this file</h3>
            <ul>
              {said.map((overrule) => (
                <li key={overrule.field}>{overrule.label}{overrule.from === undefined ? '' : ` (saved mapping “${overrule.from}”)`} <Button look="link" onClick={() => props.onUnsay(overrule.field)}>Take back</Button></li>
              ))}
            </ul>
          </div>
        )}
      </div>
    </details>
  );
}

/** Returns whether a file has rows to lay out: it is text of some kind. */
function isLayable(report: FileReport): boolean {
  return report.failure === null || report.encoding !== '';
}

/** Rows of one reason shown when the list is opened. */
const REJECTED_SHOWN = 100;

function RejectedRows({ group, rows, isCut, onLayOut }: { readonly group: RejectedGroup; readonly rows: readonly RejectedRow[]; readonly isCut: boolean; readonly onLayOut: (atLine: number | null) => void }): JSX.Element {
  const missing = group.count - Math.min(rows.length, REJECTED_SHOWN);
  return (
    <Disclosure summary={<>{countText(group.count, 'row', 'rows')} rejected, first at line {numberText(group.first_line)}: {group.reason}</>}>
      {rows.length === 0 ? <p className="soft">These rows are not carried here.</p> : (
        <table className="plain-table rejected-table">
          <thead><tr><th scope="col" className="align-right">Line</th><th scope="col">The row as it stands</th><th scope="col"><span className="visually-hidden">Look at it</span></th></tr></thead>
          <tbody>
            {rows.slice(0, REJECTED_SHOWN).map((row) => (
              <tr key={row.line}><td className="align-right">{numberText(row.line)}</td><td><code>{row.row}</code></td><td><Button look="link" aria-label={`Settle how line ${row.line} is read`} onClick={() => onLayOut(row.line)}>Settle</Button></td></tr>
            ))}
          </tbody>
        </table>
      )}
      {missing > 0 ? (
        <p className="soft">
          {countText(missing, 'more row', 'more rows')} not listed here{isCut && rows.length < group.count ? ' (only so many travel to this window)' : ''}; the run without a window writes every one to rejected-rows.csv.
        </p>
      ) : null}
    </Disclosure>
  );
}

interface SayProps {
  readonly said: readonly Overrule[];
  readonly onSay: (overrule: Overrule) => void;
  readonly onUnsay: (field: string) => void;
}

function GuessEntry({ guess, said, onSay, onUnsay }: SayProps & { readonly guess: Guess }): JSX.Element {
  const current = said.find((overrule) => overrule.field === guess.field);
  const chosen = guess.alternatives.findIndex((alternative) => alternative.label === current?.label);
  return (
    <div className={`guess guess-${guess.certainty}`} data-guess={guess.field}>
      <p><strong>{guess.taken}</strong> <span className="certainty">{certaintyText(guess.certainty)}</span></p>
      <p className="soft">{becauseText(guess.because)}</p>
      {guess.alternatives.length === 0 ? null : (
        <SelectField
          label="Read it as" value={chosen === -1 ? '' : String(chosen)}
          choices={[{ value: '', label: 'as taken' }, ...guess.alternatives.map((alternative, index) => ({ value: String(index), label: alternative.label }))]}
          onChange={(value) => {
            const overrule = value === '' ? null : alternativeOverrule(guess, Number(value));
            if (overrule === null) onUnsay(guess.field);
            else onSay(overrule);
          }}
        />
      )}
    </div>
  );
}

function ColumnTable({ columns, ...say }: SayProps & { readonly columns: readonly ColumnReport[] }): JSX.Element {
  return (
    <table className="plain-table column-table">
      <thead>
        <tr>
          <th scope="col">In the file</th><FigureHead figure="reading-of-a-column">Read as</FigureHead><FigureHead figure="values-read" className="align-right">Values</FigureHead><FigureHead figure="values-read" className="align-right">Without a value</FigureHead><th scope="col">Overrule</th>
        </tr>
      </thead>
      <tbody>
        {columns.map((column, index) => (
          <tr key={`${column.heading} ${index}`}>
            <th scope="row">{column.heading === '' ? <span className="soft">(no heading)</span> : column.heading}</th>
            <td>{column.readAs}</td>
            <td className="align-right">{numberText(column.values)}</td>
            <td className="align-right">{numberText(column.missing)}</td>
            <td><ColumnOverrule column={column} {...say} /></td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function ColumnOverrule({ column, said, onSay, onUnsay }: SayProps & { readonly column: ColumnReport }): JSX.Element {
  const field = `columns.${column.heading}`;
  const current = said.find((overrule) => overrule.field === field);
  const [isEditing, setIsEditing] = useState(false);
  const [choice, setChoice] = useState(column.quantity === null ? '' : `quantity:${column.quantity}`);
  const [site, setSite] = useState(column.site ?? 'unstated');
  const apply = (nextChoice: string, nextSite: string): void => {
    const reading = columnReading(nextChoice, nextSite);
    if (reading === null) onUnsay(field);
    else onSay(columnOverrule(column.heading, reading.reading, `“${column.heading}” is ${reading.words}`));
  };
  if (!isEditing && current === undefined) {
    return <Button look="link" className="only-screen" aria-label={`Change what ${column.heading} is read as`} onClick={() => setIsEditing(true)}>Change…</Button>;
  }
  return (
    <span className="column-overrule">
      <SelectField
        label={`Read ${column.heading} as`} labelHidden value={choice} choices={[{ value: '', label: 'as read' }, ...COLUMN_CHOICES]}
        onChange={(value) => {
          setChoice(value);
          apply(value, site);
        }}
      />
      {takesSite(choice) ? (
        <SelectField
          label={`Site of ${column.heading}`} labelHidden value={site} choices={SITES.map((name) => ({ value: name, label: name }))}
          onChange={(value) => {
            setSite(value);
            apply(choice, value);
          }}
        />
      ) : null}
    </span>
  );
}

function FileOverrules({ report, said, onSay, onUnsay }: SayProps & { readonly report: FileReport }): JSX.Element {
  const saidOn = (field: string): Overrule | undefined => said.find((overrule) => overrule.field === field);
  const caseId = saidOn('caseId')?.rules.caseId ?? '';
  const offsetS = saidOn('clockOffsetS')?.rules.clockOffsetS ?? 0;
  return (
    <div className="file-overrules">
      {FILE_CHOICES.map((choice) => {
        const current = saidOn(choice.field)?.rules[choice.field] ?? '';
        return (
          <SelectField
            key={choice.field} label={choice.label} value={current}
            choices={[{ value: '', label: 'as worked out' }, ...choice.choices]}
            onChange={(value) => {
              const overrule = fileOverrule(choice, value);
              if (overrule === null) onUnsay(choice.field);
              else onSay(overrule);
            }}
          />
        );
      })}
      {report.cases.length <= 1 ? (
        <TextField
          label="Name of its case" value={caseId} placeholder={report.cases[0] ?? ''}
          onChange={(value) => (value.trim() === '' ? onUnsay('caseId') : onSay({ field: 'caseId', label: `Its case is “${value.trim()}”`, rules: { caseId: value.trim() } }))}
        />
      ) : null}
      <NumberField
        label="Clock of this file is behind by" help={<FigureHelp figure="clock-offset" />} unit="s (minus: ahead)" value={offsetS} min={-MAX_CLOCK_OFFSET_S} max={MAX_CLOCK_OFFSET_S}
        hint={offsetS === 0 ? 'Seconds to add to its times: 60 where its clock was 60 s behind the others, -60 where it was 60 s ahead. At 0 the times stay as they are.' : `Its ${clockOffsetText(offsetS * 1000)}. Type 0 to take this back.`}
        onChange={(seconds) => {
          const overrule = clockOffsetOverrule(seconds);
          if (overrule === null) onUnsay('clockOffsetS');
          else onSay(overrule);
        }}
      />
    </div>
  );
}
