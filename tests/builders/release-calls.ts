import { DEFAULT_REPORT_SETTING, type ReportSetting } from '../../core/model/report-setting.ts';
import type { ReleaseApi } from '../../core/protocol/release-api.ts';
import type { ReleaseList } from '../../core/model/release.ts';
import { answeredBundle } from '../../core/model/release-answers.ts';
import { deckHtml } from '../../core/report/deck/deck-html.ts';
import { reportHtml, sheetsHtml } from '../../core/report/document/report-html.ts';
import { releaseOf } from '../../core/report/release/release-list.ts';

/** What a made bundle says here. */
const BUNDLE: ReleaseList = { ...releaseOf({ kind: 'report', document: { title: 'case K01', subtitle: '', language: 'en', header: '', footer: '', paper: 'A4', isDense: false, blocks: [] } }, []).list, isKeepOnly: true };

/** Returns the calls about what leaves, without a host: lists and refusals are real, of files only HTML is made. */
export function buildReleaseCalls(): ReleaseApi {
  let kept: ReportSetting = DEFAULT_REPORT_SETTING;
  return {
    getReportSetting: () => Promise.resolve(kept),
    saveReportSetting({ setting }) {
      kept = setting;
      return Promise.resolve(kept);
    },
    listRelease: ({ content, answers }) => Promise.resolve(releaseOf(content, answers).list),
    writeReport({ document, answers, form, fileName }) {
      const { content, list } = releaseOf({ kind: 'report', document }, answers);
      if (list.open > 0 || content.kind !== 'report') return Promise.reject(new Error('release-open'));
      return Promise.resolve({ fileName: `${fileName}.${form}`, mediaType: 'text/html', base64: btoa(unescape(encodeURIComponent(reportHtml(content.document)))), notInFont: '' });
    },
    writeSheets({ sheets, answers, form, fileName }) {
      const { content, list } = releaseOf({ kind: 'sheets', sheets }, answers);
      if (list.open > 0 || content.kind !== 'sheets') return Promise.reject(new Error('release-open'));
      return Promise.resolve({ fileName: `${fileName}.${form}`, mediaType: 'text/html', base64: btoa(unescape(encodeURIComponent(sheetsHtml(content.sheets)))), notInFont: '' });
    },
    listBundle: ({ answers }) => Promise.resolve(answeredBundle(BUNDLE, answers)),
    writeBundle({ answers }) {
      if (answeredBundle(BUNDLE, answers).open > 0) return Promise.reject(new Error('release-open'));
      return Promise.resolve({ fileName: 'research-bundle.zip', mediaType: 'application/zip', base64: 'UEs=', notInFont: '' });
    },
    storyDeck: () => Promise.resolve({ title: 'Blind under the drapes', language: 'en', header: kept.confidentialityText, footer: '', slides: [{ slideId: 'title', part: '', title: 'Blind under the drapes', blocks: [], notes: '' }] }),
    writeDeck({ deck, answers, form }) {
      const { content, list } = releaseOf({ kind: 'deck', deck }, answers);
      if (list.open > 0 || content.kind !== 'deck') return Promise.reject(new Error('release-open'));
      return Promise.resolve({ fileName: `slides.${form}`, mediaType: 'text/html', base64: btoa(unescape(encodeURIComponent(deckHtml(content.deck, () => '')))), notInFont: '' });
    },
  };
}
