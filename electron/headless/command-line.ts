import { Command, CommanderError, InvalidArgumentError } from 'commander';

/** What the user asks for. */
export interface Call {
  readonly inputs: readonly string[];
  readonly out: string;
  readonly mapping: string | undefined;
  readonly parameters: string | undefined;
  readonly zone: string | undefined;
  readonly keepIdentifiers: boolean;
  readonly pseudonymKey: string | undefined;
  readonly relativeTime: boolean;
  readonly robustness: boolean;
  readonly json: boolean;
  readonly workers: number | undefined;
}

/** A call that ends here: help or version was shown, or the call is wrong and that has been said. */
export interface Ended {
  readonly exitCode: 0 | 2;
}

const MAX_WORKERS = 64;

/** Returns the call that `args` (without program and script) make. What is wrong with them is said on standard error. */
export function parseCall(args: readonly string[], productVersion: string): Call | Ended {
  let call: Call | null = null;
  const program = new Command('lacuna')
    .description('Tells, after the operation, when the pulse oximeter went blind. For looking back only: it guides no care.')
    .version(productVersion)
    .exitOverride()
    .showHelpAfterError('(add --help for the options)');
  program
    .command('analyse')
    .alias('analyze')
    .description('read anaesthesia-record exports and write every SpO2 dropout as tables')
    .argument('<input...>', 'files and folders; folders are searched to any depth, hidden entries left out')
    .requiredOption('--out <dir>', 'folder for the results; made where it is missing')
    .option('--mapping <file>', 'how files are to be read (JSON); whatever it leaves out is worked out')
    .option('--parameters <file>', 'analysis parameters (JSON); whatever it leaves out has its default')
    .option('--zone <zone>', 'time zone of the records, such as Europe/Berlin')
    .option('--keep-identifiers', 'keep names, record numbers, birth dates and the like, which are left out otherwise', false)
    .option('--pseudonym-key <file>', 'key of the codes that stand for persons (any file of 16 bytes or more); without it the key comes from the input')
    .option('--relative-time', 'write times only as seconds from the start of each case, and no date anywhere', false)
    .option('--robustness', 'write robustness.csv too: the figures under other definitions of a dropout', false)
    .option('--json', 'one JSON summary on standard output', false)
    .option('--workers <n>', 'how many files are read at a time; changes no result', workerCount)
    .action((inputs: string[], options: Omit<Call, 'inputs'>) => {
      call = { ...options, inputs };
    });
  try {
    program.parse(args, { from: 'user' });
  } catch (error) {
    if (!(error instanceof CommanderError)) throw error;
    return { exitCode: error.exitCode === 0 ? 0 : 2 };
  }
  return call ?? { exitCode: 2 };
}

function workerCount(text: string): number {
  const count = Number(text);
  if (!/^\d+$/u.test(text) || count < 1 || count > MAX_WORKERS) throw new InvalidArgumentError(`It has to be a whole number from 1 to ${MAX_WORKERS}.`);
  return count;
}
