import { useState, type JSX } from 'react';
import type { FilePreview } from '../../../core/model/file-preview.ts';
import type { Mapping, ReadingRules } from '../../../core/model/mapping.ts';
import type { Problem } from '../../state/problem.ts';
import { countRules } from '../../state/rules-edit.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { CheckField, TextField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { headingsOfShape, patternFault, rulesOfShape, suggestPattern, withEntry } from './mapping-file.ts';

export interface SaveMappingDialogProps {
  readonly rules: ReadingRules;
  readonly preview: FilePreview;
  readonly onClose: () => void;
  readonly onSaved: (name: string) => void;
}

/** Returns the dialog that saves what is said about one file for files of its shape. */
export function SaveMappingDialog({ rules, preview, onClose, onSaved }: SaveMappingDialogProps): JSX.Element {
  const session = useSession();
  const saved = useStore(session.mappings);
  const headings = headingsOfShape(preview);
  const [name, setName] = useState('');
  const [byHeadings, setByHeadings] = useState(headings.length > 0);
  const [byName, setByName] = useState(headings.length === 0);
  const [pattern, setPattern] = useState(() => suggestPattern(preview.file));
  const [problem, setProblem] = useState<Problem | null>(null);
  const shape = rulesOfShape(rules);
  const wanted = name.trim();
  const namesake = saved.kind === 'ready' ? saved.mappings.find((mapping) => mapping.name === wanted) : undefined;
  const fault = byName ? patternFault(pattern, preview.file) : null;
  const isUsable = wanted !== '' && (byHeadings || (byName && pattern.trim() !== '')) && fault === null;
  const entry: Mapping['files'][number] = {
    match: { ...(byHeadings ? { headings } : {}), ...(byName && pattern.trim() !== '' ? { fileName: pattern.trim() } : {}) },
    reading: shape,
  };
  const save = async (mapping: Mapping): Promise<void> => {
    const failed = await session.mappings.save(mapping, namesake !== undefined);
    if (failed === null) onSaved(mapping.name);
    else setProblem(failed);
  };
  const fresh: Mapping = { schema: 'lacuna-mapping/1', name: wanted, files: [entry] };
  return (
    <Dialog
      title="Save as a mapping" onClose={onClose}
      actions={
        <>
          <Button onClick={onClose}>Cancel</Button>
          {namesake === undefined ? null : <Button disabled={!isUsable} onClick={() => void save(withEntry(namesake, entry))}>Add to “{namesake.name}”</Button>}
          <Button look="primary" disabled={!isUsable} onClick={() => void save(fresh)}>{namesake === undefined ? 'Save' : 'Replace it'}</Button>
        </>
      }
    >
      <p>It is offered for files of the same shape from now on, and can be written to a file for another computer or for a run without a window.</p>
      <TextField
        label="Name" value={name} placeholder="such as: theatre export" onChange={setName}
        hint={namesake === undefined ? undefined : `There is one of this name, for ${namesake.files.length === 1 ? 'one shape' : `${namesake.files.length} shapes`} of files. Replace it, or add this shape to it.`}
      />
      <fieldset className="look-backs">
        <legend className="field-label">It fits files</legend>
        {headings.length === 0 ? <p className="soft">This file has no headings to be known by.</p> : (
          <CheckField label={<>that have all of these headings: <span className="soft">{headings.join(', ')}</span></>} checked={byHeadings} onChange={setByHeadings} />
        )}
        <CheckField label="whose names are like" checked={byName} onChange={setByName} />
        {byName ? <TextField label="Pattern of the name" labelHidden value={pattern} hint="* stands for any text." error={fault} onChange={setPattern} /> : null}
      </fieldset>
      {countRules(shape) === countRules(rules) ? null : <p className="soft">The name of its case and the offset of its clock belong to this one file and are left out.</p>}
      {countRules(shape) === 0 ? <p className="soft">Nothing has been said yet that another file could use; the mapping would be empty.</p> : null}
      {problem === null ? null : <Notice tone="problem" live><p>{problem.message}{problem.remedy === null ? '' : ` What to do: ${problem.remedy}`}</p></Notice>}
    </Dialog>
  );
}
