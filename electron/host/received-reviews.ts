import { z } from 'zod';
import type { SettledConflict } from '../../core/model/reviews-file.ts';
import { settledConflictSchema } from '../../core/model/reviews-file-schema.ts';
import type { ReviewsFileContent } from '../../core/model/reviews-file.ts';
import { readReviewsFile } from '../../core/review/reviews-file.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { LibraryDocument, LibraryJournal } from './library-shelf.ts';
import { SIGNATURES } from './review-key.ts';

const SCHEMA = 'lacuna-review-exchange/1';
const keptSchema = z.strictObject({
  schema: z.literal(SCHEMA),
  senders: z.array(z.strictObject({ fingerprint: z.string(), label: z.string(), confirmedAt: z.string(), by: z.string() })),
  settled: z.record(z.string(), settledConflictSchema),
});
const headSchema = z.strictObject({ fileDigest: z.string(), receivedAt: z.string(), receivedBy: z.string(), lines: z.number() });

/** A sender whose fingerprint a person has confirmed. */
export interface KnownSender {
  readonly fingerprint: string;
  readonly label: string;
  readonly confirmedAt: string;
  readonly by: string;
}

/** What a library knows of those who send reviews, and what was decided. */
export interface ReviewExchangeFacts {
  readonly senders: readonly KnownSender[];
  readonly settled: ReadonlyMap<string, SettledConflict>;
}

/** Every reviews file that was received, as it came, and what a person said about senders and conflicts. */
export interface ReceivedReviews {
  facts(): Promise<ReviewExchangeFacts>;
  confirmSender(sender: KnownSender): Promise<void>;
  settle(conflictId: string, decision: SettledConflict): Promise<void>;
  /** Returns the content of every file that was kept, each checked as when it came. */
  files(): Promise<readonly ReceivedFile[]>;
  /** Keeps a file; one that is there already is not kept twice. */
  keep(file: ReceivedFile & { readonly text: string; readonly receivedAt: string }): Promise<void>;
}

/** A file that was received. */
export interface ReceivedFile {
  readonly content: ReviewsFileContent;
  /** sha-256 of its text. */
  readonly fileDigest: string;
  /** Local name of who received it. */
  readonly receivedBy: string;
}

/**
 * Returns the received reviews of a library. A sender's files are one group of the journal; the lines of an entry are those of the file.
 * Errors  rejects with a FailureError: `review-exchange-damaged`, `received-reviews-damaged`, or what the disk refused.
 */
export function buildReceivedReviews(document: LibraryDocument, journal: LibraryJournal): ReceivedReviews {
  async function read(): Promise<z.infer<typeof keptSchema>> {
    try {
      const text = await document.read();
      return text === null ? { schema: SCHEMA, senders: [], settled: {} } : keptSchema.parse(JSON.parse(text));
    } catch {
      throw new FailureError({ code: 'review-exchange-damaged', message: 'What was decided about senders of reviews cannot be read.', remedy: `${document.wayOut}: fingerprints are then confirmed, and conflicts settled, anew.` });
    }
  }
  /** What was read once: entries of a journal are never changed. */
  let known: ReceivedFile[] | null = null;
  async function textOf(group: string, number: string): Promise<string> {
    let text = '';
    for await (const lines of journal.lines(group, number)) for (const line of lines) text += `${line}\n`;
    return text;
  }
  return {
    async facts() {
      const { senders, settled } = await read();
      return { senders, settled: new Map(Object.entries(settled)) };
    },
    async confirmSender(sender) {
      const kept = await read();
      await document.replace(`${JSON.stringify({ ...kept, senders: [...kept.senders.filter(({ fingerprint }) => fingerprint !== sender.fingerprint), sender] }, null, 1)}\n`);
    },
    async settle(conflictId, decision) {
      const kept = await read();
      await document.replace(`${JSON.stringify({ ...kept, settled: { ...kept.settled, [conflictId]: decision } }, null, 1)}\n`);
    },
    files,
    async keep({ text, content, fileDigest, receivedBy, receivedAt }) {
      const before = await files();
      if (before.some((one) => one.fileDigest === fileDigest)) return;
      const lines = text.split(/\r?\n/);
      if (lines.at(-1) === '') lines.pop();
      await journal.append(content.sender.fingerprint.slice(0, 32), { lines, text: (count) => JSON.stringify({ fileDigest, receivedAt, receivedBy, lines: count }) });
      known = [...before, { content, fileDigest, receivedBy }];
    },
  };

  async function files(): Promise<readonly ReceivedFile[]> {
    if (known !== null) return known;
    const found: ReceivedFile[] = [];
    for (const group of await journal.groups()) {
      for (const { number, text } of await journal.read(group)) {
        const head = headOf(text);
        const content = readReviewsFile(await textOf(group, number), SIGNATURES);
        if (head === null || !content.ok) {
          throw new FailureError({ code: 'received-reviews-damaged', message: `A reviews file that this library has received cannot be read any more. ${content.ok ? '' : content.failure.message}`.trim(), remedy: `${document.wayBack}.` });
        }
        found.push({ content: content.value, fileDigest: head.fileDigest, receivedBy: head.receivedBy });
      }
    }
    known = found;
    return found;
  }
}

function headOf(text: string | null): z.infer<typeof headSchema> | null {
  try {
    return headSchema.parse(JSON.parse(text ?? ''));
  } catch {
    return null;
  }
}
