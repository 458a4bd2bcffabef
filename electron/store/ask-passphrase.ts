import { createInterface } from 'node:readline/promises';
import { Writable } from 'node:stream';
import { FailureError } from '../../core/protocol/failure-error.ts';

/** Where a passphrase comes from; the terminal and the environment of this program when left out. */
export interface PassphraseSource {
  readonly input: NodeJS.ReadableStream & { readonly isTTY?: boolean };
  readonly output: NodeJS.WritableStream;
  readonly env: Readonly<Record<string, string | undefined>>;
}

/** The environment variable that the passphrase of a library may come from. */
export const PASSPHRASE_VARIABLE = 'LACUNA_PASSPHRASE';

const OWN: PassphraseSource = { input: process.stdin, output: process.stderr, env: process.env };

/**
 * Returns a passphrase: what the environment holds under `variable`, else what a person types, which is not shown.
 * `twice`: asked again, for one that is new.
 * Errors  rejects with a FailureError: `passphrase-missing` where nobody can be asked, `passphrase-differs`.
 */
export async function askPassphrase(question: string, variable: string, { twice }: { readonly twice: boolean }, { input, output, env }: PassphraseSource = OWN): Promise<string> {
  const given = env[variable];
  if (given !== undefined && given !== '') return given;
  if (input.isTTY !== true) throw new FailureError({ code: 'passphrase-missing', message: 'The library is encrypted, and there is no terminal to ask for its passphrase.', remedy: `Start the program from a terminal, or put the passphrase into the environment variable ${variable}.` });
  const passphrase = await readUnseen(`${question}: `, input, output);
  if (twice && (await readUnseen('The same again: ', input, output)) !== passphrase) throw new FailureError({ code: 'passphrase-differs', message: 'The two passphrases are not the same.', remedy: 'Do it again.' });
  return passphrase;
}

async function readUnseen(question: string, input: PassphraseSource['input'], output: PassphraseSource['output']): Promise<string> {
  output.write(question);
  // What is typed is echoed into nowhere.
  const nowhere = new Writable({ write: (_chunk, _encoding, done) => done() });
  const lines = createInterface({ input, output: nowhere, terminal: true });
  const interrupted = new Promise<never>((_resolve, reject) => {
    lines.on('SIGINT', () => reject(new FailureError({ code: 'cancelled', message: 'No passphrase was given.', remedy: 'Start again when you have it.' })));
  });
  try {
    return await Promise.race([lines.question(''), interrupted]);
  } finally {
    lines.close();
    output.write('\n');
  }
}
