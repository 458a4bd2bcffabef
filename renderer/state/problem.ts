/** What a person is told when something failed: a sentence, and what to do about it. */
export interface Problem {
  readonly message: string;
  readonly remedy: string | null;
}

function textField(error: object, name: string): string | null {
  const value: unknown = Reflect.get(error, name);
  return typeof value === 'string' && value !== '' ? value : null;
}

/** Returns the issues of a schema error as one readable phrase, or null when `error` is none. */
function schemaIssues(error: object): string | null {
  const issues: unknown = Reflect.get(error, 'issues');
  if (!Array.isArray(issues) || issues.length === 0) return null;
  const phrases = issues.slice(0, 3).map((issue: unknown) => {
    if (typeof issue !== 'object' || issue === null) return 'an entry that could not be read';
    const path: unknown = Reflect.get(issue, 'path');
    const where = Array.isArray(path) && path.length > 0 ? path.map(String).join(' › ') : 'the whole message';
    return `${where}: ${textField(issue, 'message') ?? 'not as expected'}`;
  });
  const more = issues.length > 3 ? `, and ${issues.length - 3} more` : '';
  return `${phrases.join('; ')}${more}`;
}

/**
 * Returns what to show for anything that was thrown.
 * Failures of the host carry `message` and perhaps `remedy`, `file`, `line`; schema errors are put into a sentence.
 */
export function describeProblem(error: unknown, doing: string): Problem {
  if (typeof error !== 'object' || error === null) return { message: `${doing} failed: ${String(error)}.`, remedy: null };
  const issues = schemaIssues(error);
  if (issues !== null) {
    return {
      message: `${doing} failed: the window and the program behind it did not understand each other (${issues}).`,
      remedy: 'Close Lacuna and start it again; if it comes back, the two parts are of different versions.',
    };
  }
  const message = textField(error, 'message') ?? 'no reason was given';
  const file = textField(error, 'file');
  const line: unknown = Reflect.get(error, 'line');
  const where = file === null ? '' : typeof line === 'number' ? ` (${file}, line ${line})` : ` (${file})`;
  return { message: `${message}${message.includes(file ?? '\u0000') ? '' : where}`, remedy: textField(error, 'remedy') };
}

/** Returns the same as one text: the sentence, then what to do. */
export function problemText({ message, remedy }: Problem): string {
  return remedy === null ? message : `${message} ${remedy}`;
}
