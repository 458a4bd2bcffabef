import { z } from 'zod';
import { MOST_HEADER_CHARACTERS } from './report-document.ts';
import type { ReportSetting } from './report-setting.ts';

export const reportSettingSchema: z.ZodType<ReportSetting> = z.strictObject({ confidentialityText: z.string().max(MOST_HEADER_CHARACTERS).regex(/^[^\p{Cc}]*$/u) });
