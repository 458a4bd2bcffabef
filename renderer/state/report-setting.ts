import { DEFAULT_REPORT_SETTING, type ReportSetting } from '../../core/model/report-setting.ts';
import type { HostConnection } from '../host/host-client.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

/** What is printed on everything that leaves this library. */
export interface ReportSettingStore extends ReadableStore<ReportSetting> {
  load(): Promise<void>;
  /** Keeps a confidentiality text; returns why that failed, null where it did not. The earlier one stays then. */
  changeText(confidentialityText: string): Promise<Problem | null>;
}

/** Returns the setting of the program until that of the library is loaded. */
export function createReportSetting(host: Pick<HostConnection, 'getReportSetting' | 'saveReportSetting'>, onProblem: (problem: Problem) => void): ReportSettingStore {
  const store = createStore(DEFAULT_REPORT_SETTING);
  return {
    get: store.get,
    subscribe: store.subscribe,
    async load() {
      try {
        store.set(await host.getReportSetting());
      } catch (error) {
        onProblem(describeProblem(error, 'Reading the confidentiality text'));
      }
    },
    async changeText(confidentialityText) {
      try {
        store.set(await host.saveReportSetting({ setting: { confidentialityText } }));
        return null;
      } catch (error) {
        return describeProblem(error, 'Keeping the confidentiality text');
      }
    },
  };
}
