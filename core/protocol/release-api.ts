import type { Deck, DeckForm, DeckWishes, ReportForm } from '../model/deck.ts';
import type { ReleaseAnswer, ReleaseContent, ReleaseList } from '../model/release.ts';
import type { ReportDocument, ReportSheets } from '../model/report-document.ts';
import type { ReportSetting } from '../model/report-setting.ts';

/** A file that may leave: every word of it was listed, and what may identify somebody was answered. */
export interface WrittenRelease {
  /** Says what it is, and nothing of a case. */
  readonly fileName: string;
  readonly mediaType: string;
  /** Its bytes in base 64. */
  readonly base64: string;
  /** Characters that the fonts do not have; '' for none. */
  readonly notInFont: string;
}

/** Calls about what leaves the library, a part of `HostApi`. */
export interface ReleaseApi {
  /** Returns what is printed on everything that leaves this library. Errors: `report-setting-damaged`. */
  getReportSetting(): Promise<ReportSetting>;
  saveReportSetting(args: { readonly setting: ReportSetting }): Promise<ReportSetting>;
  /** Returns everything that would go out with these answers. */
  listRelease(args: { readonly content: ReleaseContent; readonly answers: readonly ReleaseAnswer[] }): Promise<ReleaseList>;
  /**
   * Returns a report as a file, with the answers in it; that it left is written into the trail. `caseKeys`: of which cases it is; null: of all.
   * Errors: `release-open` while something has to be answered: nothing is written then; the disk's, where the trail cannot be written.
   */
  writeReport(args: { readonly document: ReportDocument; readonly answers: readonly ReleaseAnswer[]; readonly form: ReportForm; readonly fileName: string; readonly caseKeys?: readonly string[] | null | undefined; readonly by?: string | undefined }): Promise<WrittenRelease>;
  /** Returns sheets of several cases as one file. Errors: as `writeReport`. */
  writeSheets(args: { readonly sheets: ReportSheets; readonly answers: readonly ReleaseAnswer[]; readonly form: ReportForm; readonly fileName: string; readonly caseKeys?: readonly string[] | null | undefined; readonly by?: string | undefined }): Promise<WrittenRelease>;
  /** Returns the slides of a kept story, with the parameters of the library. Errors: `story-missing`, `stories-damaged`, `marks-damaged`. A case that cannot be read is shown as gone. */
  storyDeck(args: { readonly storyId: string; readonly wishes: DeckWishes }): Promise<Deck>;
  /** Returns slides as a file; `svg` and `png` give the picture of that number, from 0. Errors: as `writeReport`, and `no-picture`. */
  writeDeck(args: { readonly deck: Deck; readonly answers: readonly ReleaseAnswer[]; readonly form: DeckForm; readonly picture: number; readonly storyId?: string | undefined; readonly by?: string | undefined }): Promise<WrittenRelease>;
  /** Returns everything in a made bundle, with what was said of it. Errors: `bundle-gone`. */
  listBundle(args: { readonly bundleId: string; readonly answers: readonly ReleaseAnswer[] }): Promise<ReleaseList>;
  /** Returns a made bundle as one zip archive, as it was made. Errors: `bundle-gone`; as `writeReport`. Every answer has to be *keep*. */
  writeBundle(args: { readonly bundleId: string; readonly answers: readonly ReleaseAnswer[]; readonly by?: string | undefined }): Promise<WrittenRelease>;
}
