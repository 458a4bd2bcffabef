import type { ActionDraft, ActionEdit, ActionOrigin, ActionView } from '../model/action.ts';
import type { CasesLeftOut } from './review-exchange-api.ts';

/** Who asks, and on which day: `today` is the day of the person's own calendar (`YYYY-MM-DD`), which says what is overdue. */
export interface ActionAsker {
  readonly today: string;
  readonly by?: string | undefined;
}

/** One action as the page knows it: a later `edition` is there when it was changed elsewhere meanwhile. */
export interface ActionPlace extends ActionAsker {
  readonly actionId: string;
  readonly edition: number;
}

/**
 * Calls about actions, a part of `HostApi`. Each returns every action of the library, in the order of a list: those in view first.
 * Errors  `actions-damaged`, `actions-full`, `action-missing`, `action-changed`, `chart-missing`, and those of `core/actions/edit-action.ts`:
 *         `looks-like-person` is a question, asked again with `saidNoPerson` it is kept.
 */
export interface ActionApi {
  listActions(args: ActionAsker): Promise<readonly ActionView[]>;
  addAction(args: ActionAsker & { readonly draft: ActionDraft; readonly origin: ActionOrigin; readonly saidNoPerson: boolean }): Promise<{ readonly actionId: string; readonly actions: readonly ActionView[] }>;
  /** Changes an action. A change that is said is marked on its quality chart too; a mark that stands on that day already is taken as its own. */
  editAction(args: ActionPlace & { readonly edit: ActionEdit; readonly saidNoPerson: boolean }): Promise<readonly ActionView[]>;
  /**
   * Measures the action's own definition before and after its change and keeps it, also when it does not count yet. `isNew` false: the
   * figures are those of the last time, and nothing was written. `jobId` names the work in its progress (`quality-progress`) and when it is
   * cancelled. Errors: `no-change` too.
   */
  measureAgain(args: ActionPlace & { readonly jobId: string }): Promise<{ readonly actions: readonly ActionView[]; readonly isNew: boolean; readonly leftOut: CasesLeftOut }>;
  cancelActionWork(args: { readonly jobId: string }): Promise<{ readonly cancelled: boolean }>;
  /** Returns every action as the text of actions.csv or actions.json. */
  actionsText(args: ActionAsker & { readonly form: 'csv' | 'json' }): Promise<{ readonly text: string }>;
}
