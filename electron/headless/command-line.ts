import { Command, CommanderError, InvalidArgumentError, Option } from 'commander';
import { DEFAULT_COHORT_OPTIONS, EXPORT_DRAWS } from '../../core/model/cohort-options.ts';
import type { CaseFacet, CohortChange } from '../../core/model/cohort-options.ts';
import { DROPOUT_CHOICES, type DropoutChoice } from '../../core/model/confirmed.ts';
import { DEFAULT_HEADER, MOST_HEADER_CHARACTERS, PAPER_NAMES, type Paper } from '../../core/model/report-document.ts';
import type { BundleVerifyCall } from './bundle-verify.ts';
import { DECK_FORMS } from '../../core/model/deck.ts';
import type { LibraryCall } from './library-call.ts';
import type { StoryCall } from './library-story.ts';
import type { LibraryReviewsCall } from './library-reviews.ts';
import type { VerifyCall } from './verify-call.ts';

/** What every command reads, and how. */
export interface ReadingCall {
  readonly inputs: readonly string[];
  readonly out: string;
  readonly mapping: string | undefined;
  readonly parameters: string | undefined;
  readonly zone: string | undefined;
  readonly keepIdentifiers: boolean;
  readonly pseudonymKey: string | undefined;
  readonly json: boolean;
  readonly workers: number | undefined;
  readonly reviews: readonly string[] | undefined;
}

/** What the user asks for: every dropout as tables. */
export interface AnalyseCall extends ReadingCall {
  readonly command: 'analyse';
  readonly relativeTime: boolean;
  readonly robustness: boolean;
}

/** What the user asks for: results over cases. */
export interface CohortCall extends ReadingCall {
  readonly command: 'cohort';
  readonly seed: number;
  readonly draws: number;
  readonly conf: number;
  readonly groupBy: CaseFacet | undefined;
  readonly patientColumn: string | undefined;
  readonly from: string | undefined;
  readonly to: string | undefined;
  readonly leaveOutUndated: boolean;
  readonly change: CohortChange | undefined;
  readonly dropouts: DropoutChoice;
  readonly caseList: string | undefined;
  readonly caseListColumn: string | undefined;
  readonly caseListDate: string | undefined;
  readonly nextStudy: string | undefined;
  readonly protocol: string | undefined;
}

/** What is said of the words of files that may be passed on. */
interface Leaving {
  /** A file of answers; left out: nothing is answered, and the run says so. */
  readonly releaseAnswers?: string | undefined;
}

/** How reports are set. */
interface ReportSetting extends Leaving {
  readonly paper: Paper;
  readonly header: string;
}

/** What the user asks for: a sheet of every case. */
export interface CaseSheetsCall extends ReadingCall, ReportSetting {
  readonly command: 'report case';
  readonly relativeTime: boolean;
}

/** What the user asks for: the report of a department. */
export interface DepartmentReportCall extends ReadingCall, ReportSetting, Pick<CohortCall, 'seed' | 'draws' | 'conf' | 'groupBy' | 'patientColumn' | 'from' | 'to' | 'leaveOutUndated' | 'change'> {
  readonly command: 'report department';
  /** An actions.json of a library. */
  readonly actions: string | undefined;
}

/** What the user asks for: a research bundle. */
export interface BundleCall extends Omit<CohortCall, 'command'>, Leaving {
  readonly command: 'bundle';
  readonly relativeTime: boolean;
  readonly robustness: boolean;
  /** When it is made, to stand in the manifest. */
  readonly made: string | undefined;
}

export type Call = AnalyseCall | CohortCall | CaseSheetsCall | DepartmentReportCall | BundleCall;

/** A call that ends here: help or version was shown, or the call is wrong and that has been said. */
export interface Ended {
  readonly exitCode: 0 | 2;
}

const MAX_WORKERS = 64;
const RELEASE_ANSWERS = 'the files are to be passed on: what is kept, replaced and left out of what may identify somebody; while something is open nothing is written but what has to be answered, into this file where it is not there yet';
const FACETS = ['service', 'asa class', 'age band', 'position', 'site', 'month'] as const;

/** Returns the call that `args` (without program and script) make. What is wrong with them is said on standard error. */
export function parseCall(args: readonly string[], productVersion: string): Call | LibraryCall | LibraryReviewsCall | VerifyCall | BundleVerifyCall | Ended {
  let call: Call | LibraryCall | LibraryReviewsCall | VerifyCall | BundleVerifyCall | null = null;
  const program = new Command('lacuna')
    .description('Tells, after the operation, when the pulse oximeter went blind. For looking back only: it guides no care.')
    .version(productVersion)
    .exitOverride()
    .showHelpAfterError('(add --help for the options)');
  reading(program.command('analyse').alias('analyze').description('read anaesthesia-record exports and write every SpO2 dropout as tables'))
    .option('--relative-time', 'write times only as seconds from the start of each case, and no date anywhere', false)
    .option('--robustness', 'write robustness.csv too: the figures under other definitions of a dropout', false)
    .action((inputs: string[], options: Omit<AnalyseCall, 'inputs' | 'command'>) => {
      call = { ...options, command: 'analyse', inputs };
    });
  besideCases(overCases(reading(program.command('cohort').description('read anaesthesia-record exports and write results over cases, with a text for the methods section'))))
    .action((inputs: string[], options: Omit<CohortCall, 'inputs' | 'command'>) => {
      call = { ...options, command: 'cohort', inputs };
    });
  besideCases(overCases(reading(program.command('bundle').description('read anaesthesia-record exports and write a research bundle: every table as CSV and Parquet, dictionary, methods, flow of cases, digests; `bundle verify` makes one anew and compares'))))
    .option('--relative-time', 'write times only as seconds from the start of each case, and no date anywhere', false)
    .option('--robustness', 'write the figures of every case under other definitions of a dropout too', false)
    .option('--release-answers <file>', RELEASE_ANSWERS)
    .option('--made <instant>', 'when it is made (ISO 8601), to stand in its manifest; without it no clock is in the bundle', instantOf)
    .action((inputs: string[], options: Omit<BundleCall, 'inputs' | 'command'>) => {
      call = { ...options, command: 'bundle', inputs };
    });
  program
    .command('bundle-verify')
    .description('also `bundle verify`: make a research bundle anew from its inputs, or from the library that it was written from, and compare every byte')
    .argument('<dir>', 'the folder of the bundle')
    .option('--inputs <input...>', 'the files and folders that it was made from')
    .option('--library <library>', 'the library that it was written from in the window: a folder, or a file that ends in .lacuna')
    .option('--mapping <file>', 'the mapping that it was made with')
    .option('--zone <zone>', 'the time zone, where it was left out of the bundle')
    .option('--pseudonym-key <file>', 'the key of its codes, where it was made with one')
    .option('--reviews <file...>', 'the files of reviews that it was made with')
    .option('--case-list <file>', 'the list of cases that it was made with')
    .option('--next-study <file>', 'the planned study that it was made with')
    .option('--protocol <file>', 'the protocol that it was made with')
    .option('--json', 'one JSON summary on standard output', false)
    .option('--workers <n>', 'how many files are read at a time; changes no result', wholeNumber(1, MAX_WORKERS))
    .action((dir: string, { inputs = [], ...options }: Omit<BundleVerifyCall, 'bundle' | 'command' | 'inputs'> & { readonly inputs?: readonly string[] }, command: Command) => {
      if ((inputs.length === 0) === (options.library === undefined)) command.error('error: say what the bundle is made anew from: --inputs for one that was made from files, --library for one that was written in the window.');
      call = { ...options, command: 'bundle verify', bundle: dir, inputs };
    });
  const report = program.command('report').description('read anaesthesia-record exports and write them up as HTML and PDF');
  setting(reading(report.command('case').description('write a one-page sheet of every case')))
    .option('--relative-time', 'write times only from the first row of each case, and no date anywhere', false)
    .action((inputs: string[], options: Omit<CaseSheetsCall, 'inputs' | 'command'>) => {
      call = { ...options, command: 'report case', inputs };
    });
  setting(overCases(reading(report.command('department').description('write the report of a department, such as of a quarter: --from 2031-01-01 --to 2031-03-31'))))
    .option('--actions <file>', 'tell what became of the actions of a library: actions.json, as `library actions` writes it')
    .action((inputs: string[], options: Omit<DepartmentReportCall, 'inputs' | 'command'>) => {
      call = { ...options, command: 'report department', inputs };
    });
  const library = program.command('library').description('make and look after an encrypted library, which is one file');
  const FILE = 'the file of the library, which ends in .lacuna';
  const asked = (done: LibraryCall | LibraryReviewsCall): void => {
    call = done;
  };
  library.command('create').description('make an empty library').argument('<file>', FILE).action((file: string) => asked({ command: 'library', action: 'create', file }));
  library
    .command('move')
    .description('make an encrypted library of one that is a folder; the folder stays until you remove it')
    .argument('<folder>', 'the library that is a folder')
    .argument('<file>', FILE)
    .action((folder: string, file: string) => asked({ command: 'library', action: 'move', folder, file }));
  library.command('passphrase').description('give a library another passphrase').argument('<file>', FILE).action((file: string) => asked({ command: 'library', action: 'passphrase', file }));
  library.command('check').description('read everything in a library and say what is damaged').argument('<file>', FILE).action((file: string) => asked({ command: 'library', action: 'check', file }));
  library.command('backups').description('list the backups of a library, the newest first').argument('<file>', FILE).action((file: string) => asked({ command: 'library', action: 'backups', file }));
  library
    .command('restore')
    .description('put a backup in the place of a library; what was there is kept beside it')
    .argument('<file>', FILE)
    .argument('<backup>', 'the backup, as `library backups` lists it')
    .action((file: string, backup: string) => asked({ command: 'library', action: 'restore', file, backup }));
  const LIBRARY = 'the library: a folder, or a file that ends in .lacuna';
  library
    .command('share')
    .description('write mappings, sets of definitions, protocols and definitions of quality charts into a file, and nothing of a patient')
    .argument('<library>', LIBRARY)
    .argument('<file>', 'the file to be written (JSON)')
    .action((from: string, file: string) => asked({ command: 'library', action: 'share', library: from, file }));
  library
    .command('take')
    .description('take in what such a file holds and the library has not; nothing is replaced')
    .argument('<library>', LIBRARY)
    .argument('<file>', 'the file that `library share` or the window has written')
    .action((into: string, file: string) => asked({ command: 'library', action: 'take', library: into, file }));
  library
    .command('story')
    .description('write a story as slides (PDF, PPTX, HTML) or one picture of it (SVG, PNG); while a word may identify somebody nothing is written and what has to be answered is listed')
    .argument('<library>', LIBRARY)
    .requiredOption('--story <title>', 'the title of the story, or its id')
    .requiredOption('--out <file>', 'the file to be written')
    .addOption(new Option('--form <form>', 'what is written').choices([...DECK_FORMS]).makeOptionMandatory())
    .option('--picture <n>', 'which picture of the slides, for svg and png', wholeNumber(1, 10_000), 1)
    .option('--notes', 'write the notes for the presenter too (pptx, html)', false)
    .option('--marks', 'show marks and notes that were pinned to the cases', false)
    .option('--keep-later-back', 'each picture first as recorded until the instant of its moment, then whole', false)
    .option('--release-answers <file>', 'what is kept, replaced and left out; a run without it lists what has to be answered')
    .option('--by <name>', 'local name of who does it, for the audit trail')
    .action((from: string, { releaseAnswers, ...options }: Pick<StoryCall, 'story' | 'out' | 'form' | 'picture' | 'notes' | 'marks' | 'keepLaterBack' | 'by'> & { readonly releaseAnswers?: string }) => asked({ command: 'library', action: 'story', library: from, ...options, answers: releaseAnswers ?? null }));
  library
    .command('actions')
    .description('write the actions of meetings, with what became of them, as a table (.csv) or whole (.json)')
    .argument('<library>', LIBRARY)
    .requiredOption('--out <file>', 'the file to write, ending in .csv or .json; it must not be there yet')
    .option('--measure-again', 'first measure every action with a change again, on its own definition, and keep that in the library', false)
    .option('--action <id>', 'measure this action only: the first digits of its action_id', actionOf)
    .option('--today <day>', 'the day (YYYY-MM-DD) that overdue counts to; without it the day of this computer', dayOf)
    .option('--by <name>', 'local name of who does it, for the audit trail')
    .action((where: string, { out, measureAgain, action, today, by }: { out: string; measureAgain: boolean; action?: string; today?: string; by?: string }, command: Command) => {
      if (action !== undefined && !measureAgain) command.error('error: --action says which action is measured again: add --measure-again.');
      asked({ command: 'library', action: 'actions', library: where, out, measureAgain, only: action, today, by });
    });
  program
    .command('verify')
    .description('check the trail of verdicts and acts in a library: finds any altered, removed or reordered entry')
    .argument('<library>', 'the folder of a library, or the file of an encrypted one; no program may have it open')
    .option('--head <hash>', 'a hash that was noted earlier and must be in the trail', hashOf)
    .option('--json', 'one JSON summary on standard output', false)
    .action((library: string, { head, json }: Pick<VerifyCall, 'head' | 'json'>) => {
      call = { command: 'verify', library, head, json };
    });
  library
    .command('reviews')
    .description('write the reviews of a library into a signed file, for another library')
    .argument('<library>', LIBRARY)
    .requiredOption('--out <file>', 'the file to write; it must not be there yet')
    .requiredOption('--by <name>', 'local name of who does it, for the audit trail')
    .option('--without-notes', 'leave out free text, which may name persons', false)
    .action((where: string, options: { out: string; by: string; withoutNotes: boolean }) => asked({ command: 'library reviews', action: 'write', library: where, ...options }));
  library
    .command('receive')
    .description('take the reviews of another library from such a file')
    .argument('<library>', LIBRARY)
    .argument('<file>', 'the file of reviews')
    .requiredOption('--by <name>', 'local name of who does it, for the audit trail')
    .option('--confirm <fingerprint>', 'the fingerprint that you compared with the sender; needed once for each sender')
    .option('--label <name>', 'what the sender is to be called here', '')
    .action((where: string, file: string, { by, label, confirm }: { by: string; label: string; confirm?: string }) => asked({ command: 'library reviews', action: 'receive', library: where, file, by, label, confirm }));
  library
    .command('agreement')
    .description('say how far two readers of a library agree: agreement.csv, verdict-table.csv')
    .argument('<library>', LIBRARY)
    .requiredOption('--out <dir>', 'folder for the tables; made where it is missing')
    .option('--readers <names...>', 'the two readers; without it those with the most dropouts in common')
    .option('--seed <n>', 'seed of everything that is drawn', wholeNumber(0, 4_294_967_295), DEFAULT_COHORT_OPTIONS.seed)
    .option('--draws <n>', 'how often cases are drawn anew', wholeNumber(100, 100_000), EXPORT_DRAWS)
    .option('--conf <share>', 'confidence of the intervals', confidence, DEFAULT_COHORT_OPTIONS.conf)
    .action((where: string, options: { out: string; readers?: string[]; seed: number; draws: number; conf: number }, command: Command) => {
      const [first, second, ...more] = options.readers ?? [];
      if (options.readers !== undefined && (first === undefined || second === undefined || more.length > 0 || first === second)) command.error('error: --readers has to name two readers that differ.');
      asked({ command: 'library reviews', action: 'agreement', library: where, ...options, readers: first === undefined || second === undefined ? undefined : [first, second] });
    });
  try {
    // A command that takes inputs cannot have one below it: its own options would be asked for there too.
    program.parse(args[0] === 'bundle' && args[1] === 'verify' ? ['bundle-verify', ...args.slice(2)] : args, { from: 'user' });
  } catch (error) {
    if (!(error instanceof CommanderError)) throw error;
    return { exitCode: error.exitCode === 0 ? 0 : 2 };
  }
  return call ?? { exitCode: 2 };
}

/** Adds what every command reads. */
function reading(command: Command): Command {
  return command
    .argument('<input...>', 'files and folders; folders are searched to any depth, hidden entries left out')
    .requiredOption('--out <dir>', 'folder for the results; made where it is missing')
    .option('--mapping <file>', 'how files are to be read (JSON); whatever it leaves out is worked out')
    .option('--parameters <file>', 'analysis parameters (JSON); whatever it leaves out has its default')
    .option('--zone <zone>', 'time zone of the records, such as Europe/Berlin')
    .option('--keep-identifiers', 'keep names, record numbers, birth dates and the like, which are left out otherwise', false)
    .option('--pseudonym-key <file>', 'key of the codes that stand for persons (any file of 16 bytes or more); without it the key comes from the input')
    .option('--reviews <file...>', 'what readers said of the dropouts, as a library wrote it (library reviews): verdicts and confirmed figures in the tables')
    .option('--json', 'one JSON summary on standard output', false)
    .option('--workers <n>', 'how many files are read at a time; changes no result', wholeNumber(1, MAX_WORKERS));
}

/** Adds what may be laid beside the results over cases. */
function besideCases(command: Command): Command {
  return command
    .addOption(new Option('--dropouts <which>', 'which dropouts are counted: as computed, those that readers confirmed, or both side by side').choices(DROPOUT_CHOICES).default(DEFAULT_COHORT_OPTIONS.dropouts))
    .option('--case-list <file>', 'hold a list of cases from elsewhere against those that were read: case-list.csv')
    .option('--case-list-column <heading>', 'column of that list that names the cases; without it the one that fits best')
    .option('--case-list-date <heading>', 'column of that list with the date of the case')
    .option('--next-study <file>', 'plan a study (JSON) from the spread of these cases: next-study.csv, next-study.md')
    .option('--protocol <file>', 'say whether the run keeps to a protocol that was fixed in the program: protocol.md');
}

/** Adds what every command over cases may be asked. */
function overCases(command: Command): Command {
  return command
    .option('--seed <n>', 'seed of everything that is drawn', wholeNumber(0, 4_294_967_295), DEFAULT_COHORT_OPTIONS.seed)
    .option('--draws <n>', 'how often cases are drawn anew', wholeNumber(100, 100_000), EXPORT_DRAWS)
    .option('--conf <share>', 'confidence of the intervals', confidence, DEFAULT_COHORT_OPTIONS.conf)
    .option('--group-by <property>', `compare cases by it: ${FACETS.join(', ')}, or the heading of a column of the case list`, facetOf)
    .option('--patient-column <heading>', 'column of the case list that names the patient; without it every case is a unit of its own')
    .option('--from <day>', 'first day (YYYY-MM-DD) of the cases', dayOf)
    .option('--to <day>', 'last day (YYYY-MM-DD) of the cases', dayOf)
    .option('--leave-out-undated', 'with --from or --to: leave out cases without a date', false)
    .addOption(new Option('--change <day:text>', 'mark a change on its first day, with before and after').argParser(changeOf));
}

/** Adds how reports are set. */
function setting(command: Command): Command {
  return command
    .addOption(new Option('--paper <paper>', 'paper that the PDF is set for').choices(PAPER_NAMES).default('A4'))
    .option('--release-answers <file>', RELEASE_ANSWERS)
    .option('--header <text>', 'printed on every page, as local policy words it; empty for none. It creates no legal protection', headerOf, DEFAULT_HEADER);
}

function headerOf(text: string): string {
  if (text.length > MOST_HEADER_CHARACTERS) throw new InvalidArgumentError(`It has to fit on one line: ${MOST_HEADER_CHARACTERS} characters at most.`);
  return text.trim();
}

function wholeNumber(least: number, most: number): (text: string) => number {
  return (text) => {
    const count = Number(text);
    if (!/^\d+$/u.test(text) || count < least || count > most) throw new InvalidArgumentError(`It has to be a whole number from ${least} to ${most}.`);
    return count;
  };
}

function confidence(text: string): number {
  const share = Number(text);
  if (!/^0?\.\d+$/u.test(text) || share < 0.5 || share > 0.999) throw new InvalidArgumentError('It has to be a share from 0.5 to 0.999, such as 0.95.');
  return share;
}

function facetOf(text: string): CaseFacet {
  const kind = FACETS.find((facet) => facet === text.trim().toLowerCase());
  if (text.trim() === '') throw new InvalidArgumentError('It has to name a property.');
  return kind === undefined ? { kind: 'column', column: text } : { kind };
}

function dayOf(text: string): string {
  const date = new Date(`${text}T00:00:00Z`);
  if (!/^\d{4}-\d{2}-\d{2}$/u.test(text) || Number.isNaN(date.getTime()) || date.toISOString().slice(0, 10) !== text) throw new InvalidArgumentError('It has to be a day as YYYY-MM-DD.');
  return text;
}

function actionOf(text: string): string {
  const id = text.trim().toLowerCase();
  if (!/^[0-9a-f]{4,16}$/u.test(id)) throw new InvalidArgumentError('It has to be 4 to 16 hexadecimal digits, as in the column action_id.');
  return id;
}

function instantOf(text: string): string {
  if (!/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(?::\d{2}(?:\.\d{1,3})?)?(?:Z|[+-]\d{2}:\d{2})$/u.test(text) || Number.isNaN(Date.parse(text))) throw new InvalidArgumentError('It has to be an instant with its offset, such as 2031-04-03T08:00:00+02:00.');
  return new Date(text).toISOString();
}

function hashOf(text: string): string {
  const hash = text.trim().toLowerCase();
  if (!/^[0-9a-f]{64}$/u.test(hash)) throw new InvalidArgumentError('It has to be a hash of 64 hexadecimal digits, as verify shows it.');
  return hash;
}

function changeOf(text: string): CohortChange {
  const [day = '', ...words] = text.split(':');
  const said = words.join(':').trim();
  if (said === '') throw new InvalidArgumentError('It has to be a day and what was changed, such as "2026-03-01:second sensor with tucked arms".');
  return { date: dayOf(day.trim()), text: said };
}
