import type { ReportApi } from '../../core/protocol/report-api.ts';

/** Returns the calls about reports over cases, without a host: the simplest valid answers. */
export function buildReportCalls(): ReportApi {
  return {
    departmentReport: ({ wishes }) => Promise.resolve({ document: { title: 'Department report', subtitle: '2031', language: 'en', header: wishes.header, footer: '', paper: wishes.paper, isDense: false, blocks: [] }, html: '<!doctype html>', pdfBase64: 'JVBERg==', pages: 7, notInFont: '' }),
    researchBundle: () => Promise.resolve({ bundleId: 'b'.repeat(32), byteLength: 2, files: ['README.md'], cases: 1, leftOut: [] }),
    caseSheets: ({ caseKeys, wishes }) => Promise.resolve({ sheets: caseKeys.map((caseKey, i) => ({ caseKey, caseId: `K${i + 1}`, document: { title: 'Case sheet', subtitle: `K${i + 1}`, language: 'en', header: wishes.header, footer: '', paper: wishes.paper, isDense: true, blocks: [] }, pages: 1, notInFont: '' })), leftOut: [] }),
    cancelReportWork: () => Promise.resolve({ cancelled: true }),
  };
}
