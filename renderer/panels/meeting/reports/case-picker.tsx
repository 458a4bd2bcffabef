import { useMemo, useState, type JSX } from 'react';
import type { CaseSummary } from '../../../../core/protocol/host-api.ts';
import { countText, numberText } from '../../../format/number-text.ts';
import { dateText } from '../../../format/time-text.ts';
import { Button } from '../../../widgets/button.tsx';
import { CheckField, TextField } from '../../../widgets/field.tsx';

/** Cases that are listed at a time: of more the name has to be typed. */
const MOST_LISTED = 60;

export interface CasePickerProps {
  readonly cases: readonly CaseSummary[];
  readonly picked: ReadonlySet<string>;
  readonly onChange: (picked: ReadonlySet<string>) => void;
}

/** Returns cases to tick, found by a part of their name or date; what is ticked stays listed. */
export function CasePicker({ cases, picked, onChange }: CasePickerProps): JSX.Element {
  const [filter, setFilter] = useState('');
  const readable = useMemo(() => cases.filter(({ problem }) => problem === null), [cases]);
  const found = useMemo(() => {
    const wanted = filter.trim().toLowerCase();
    return wanted === '' ? readable : readable.filter(({ caseId, date }) => `${caseId} ${date === null ? '' : `${date} ${dateText(date)}`}`.toLowerCase().includes(wanted));
  }, [readable, filter]);
  const listed = found.slice(0, MOST_LISTED);
  const elsewhere = readable.filter(({ caseKey }) => picked.has(caseKey) && listed.every((one) => one.caseKey !== caseKey));
  const toggle = (caseKey: string): void => {
    const next = new Set(picked);
    if (!next.delete(caseKey)) next.add(caseKey);
    onChange(next);
  };
  return (
    <fieldset className="case-picker">
      <legend className="visually-hidden">Cases picked here</legend>
      <div className="reports-controls">
        <TextField label="Find by name or date" type="search" value={filter} onChange={setFilter} />
        <Button disabled={listed.length === 0} onClick={() => onChange(new Set([...picked, ...listed.map(({ caseKey }) => caseKey)]))}>Pick {listed.length === 0 ? 'those' : listed.length === 1 ? 'the one' : `the ${numberText(listed.length)}`} listed</Button>
        <Button disabled={picked.size === 0} onClick={() => onChange(new Set())}>Pick none</Button>
        <span className="soft" role="status">{picked.size === 0 ? 'no case is' : countText(picked.size, 'case is', 'cases are')} picked{found.length > listed.length ? `; ${numberText(listed.length)} of ${numberText(found.length)} are listed, type a part of a name for others` : found.length === 0 ? '; no case fits' : ''}.</span>
      </div>
      <div className="case-picker-list">
        {[...elsewhere, ...listed].map(({ caseKey, caseId, date }) => <CheckField key={caseKey} label={<>{caseId}{date === null ? null : <> <span className="soft case-picker-date">{dateText(date)}</span></>}</>} checked={picked.has(caseKey)} onChange={() => toggle(caseKey)} />)}
      </div>
    </fieldset>
  );
}
