import { DEFAULT_HEADER } from './report-document.ts';

/** What a library prints on everything that leaves it. */
export interface ReportSetting {
  /** Printed on each page and slide, as local policy words it; '' for none. It creates no legal protection. */
  readonly confidentialityText: string;
}

export const DEFAULT_REPORT_SETTING: ReportSetting = { confidentialityText: DEFAULT_HEADER };
