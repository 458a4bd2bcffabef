import { useId, type JSX } from 'react';

/** Returns a labelled bar of how much is done. */
export function Progress({ label, done, total }: { readonly label: string; readonly done: number; readonly total: number }): JSX.Element {
  const id = useId();
  return (
    <div className="progress">
      <label htmlFor={id}>{label}</label>
      <progress id={id} max={Math.max(1, total)} value={Math.min(done, Math.max(1, total))} />
    </div>
  );
}
