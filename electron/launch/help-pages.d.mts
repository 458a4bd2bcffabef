import type { HelpPage } from '../../renderer/help/help-page.ts';

/** Returns every page of the documentation that is read inside the window, in the order of the contents. Throws where one holds what cannot be shown. */
export function helpPages(root: string): HelpPage[];
/** Returns one page of Markdown as a tree. `known` are the paths of the pages that links may lead to. Throws where the page holds what cannot be shown. */
export function helpPage(path: string, group: string, markdown: string, known: ReadonlySet<string>): HelpPage;
