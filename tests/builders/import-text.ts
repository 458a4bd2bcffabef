import { importFiles } from '../../core/pipeline/import-files.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { Channel } from '../../core/model/channel.ts';
import type { FileReport } from '../../core/model/import-report.ts';
import type { ImportOptions, ImportOutcome } from '../../core/readers/reader.ts';
import { memorySource, plainImport } from './byte-source.ts';

/** Returns what the product makes of files given as text (or bytes) by path. */
export function importTexts(files: Readonly<Record<string, string | Uint8Array>>, overrides: Partial<ImportOptions> = {}): Promise<ImportOutcome> {
  const encoder = new TextEncoder();
  const sources = Object.entries(files).map(([path, body]) => memorySource(path, typeof body === 'string' ? encoder.encode(body) : body));
  return importFiles(sources, plainImport(overrides));
}

export interface OneFile {
  readonly outcome: ImportOutcome;
  readonly report: FileReport;
  readonly record: CaseRecord;
  channel(quantity: string, site?: string): Channel;
}

/** Returns what the product makes of one file. The first case is `record`; throws when there is none. */
export async function importText(body: string | Uint8Array, overrides: Partial<ImportOptions> = {}, path = 'case-a/table.csv'): Promise<OneFile> {
  const outcome = await importTexts({ [path]: body }, overrides);
  const report = outcome.files[0];
  const record = outcome.cases[0];
  if (report === undefined) throw new Error('no report');
  return {
    outcome,
    report,
    get record() {
      if (record === undefined) throw new Error(`no case: ${JSON.stringify(report)}`);
      return record;
    },
    channel(quantity, site) {
      const found = record?.channels.find((channel) => channel.quantity === quantity && (site === undefined || channel.site === site));
      if (found === undefined) throw new Error(`no channel ${quantity}: ${JSON.stringify({ report, channels: record?.channels.map((channel) => channel.channelId) })}`);
      return found;
    },
  };
}

/** Returns the numbers of a channel as a plain array, NaN as null, so that differences read well. */
export function valuesOf(channel: Channel): (number | null)[] {
  return [...channel.value].map((value) => (Number.isNaN(value) ? null : value));
}

/** Returns the times of a channel in seconds. */
export function secondsOf(channel: Channel): number[] {
  return [...channel.tMs].map((ms) => ms / 1000);
}
