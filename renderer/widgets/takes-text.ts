/** Returns whether a key pressed at `target` is meant for it: a field for text, a list to choose from, or anything in a dialog. */
export function takesText(target: EventTarget | null): boolean {
  if (target === null || !(target instanceof Element)) return false;
  return target.closest('input:not([type="radio"], [type="checkbox"]), select, textarea, [contenteditable], dialog') !== null;
}
