import { z } from 'zod';
import { DEFAULT_REPORT_SETTING } from '../../core/model/report-setting.ts';
import { reportSettingSchema } from '../../core/model/report-setting-schema.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { ReportSettingStore } from './case-store.ts';
import type { LibraryDocument } from './library-shelf.ts';

const SCHEMA = 'lacuna-report-setting/1';
const fileSchema = z.object({ schema: z.literal(SCHEMA), setting: reportSettingSchema });

/**
 * Returns what is printed on everything that leaves a library, as it is kept in a document.
 * Missing  no text: as the program has it.
 * Errors   rejects with a FailureError: `report-setting-damaged`, or what the disk refused.
 */
export function buildKeptReportSetting(document: LibraryDocument): ReportSettingStore {
  const store: ReportSettingStore = {
    async read() {
      const text = await document.read();
      if (text === null) return DEFAULT_REPORT_SETTING;
      try {
        return fileSchema.parse(JSON.parse(text)).setting;
      } catch {
        throw new FailureError({ code: 'report-setting-damaged', message: 'The confidentiality text of this library cannot be read.', remedy: `${document.wayOut}, then set it anew.` });
      }
    },
    async keep(setting) {
      // What cannot be read is not written over.
      await store.read();
      await document.replace(`${JSON.stringify({ schema: SCHEMA, setting }, null, 2)}\n`);
      return setting;
    },
  };
  return store;
}
