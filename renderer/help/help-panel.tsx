import { useEffect, useId, useLayoutEffect, useMemo, useRef, useState, useSyncExternalStore, type JSX, type KeyboardEvent } from 'react';
import { useStore } from '../state/store.ts';
import { Button } from '../widgets/button.tsx';
import { Waiting } from '../widgets/empty-state.tsx';
import { TextField } from '../widgets/field.tsx';
import { Notice } from '../widgets/notice.tsx';
import { FIGURES } from './figure-register.ts';
import type { HelpPage } from './help-page.ts';
import type { HelpStore, HelpView } from './help-store.ts';
import { anchorId, PageView } from './page-view.tsx';
import { searchHelp } from './search-help.ts';
import './help-panel.css';

/** From here on the panel stands beside the figure; in a narrower window it covers it. The style sheet has the same number. */
const BESIDE = '(min-width: 1600px)';
/** Parts that a search shows; more would not be read. */
const HITS_SHOWN = 40;

function followWidth(listener: () => void): () => void {
  const query = matchMedia(BESIDE);
  query.addEventListener('change', listener);
  return () => query.removeEventListener('change', listener);
}

/**
 * Returns the open help: beside the window's content where the width allows, else over it. Esc or F1 closes it and gives the focus back.
 * Opened from a dialog it lies over that dialog, which would let nothing beside it be reached.
 */
export function HelpPanel({ help }: { readonly help: HelpStore }): JSX.Element {
  const { trail, at } = useStore(help);
  const view = trail[at] ?? null;
  const isWide = useSyncExternalStore(followWidth, () => matchMedia(BESIDE).matches);
  const isModal = !isWide || (help.opener()?.closest('dialog') ?? null) !== null;
  const ref = useRef<HTMLDialogElement>(null);
  const [query, setQuery] = useState('');
  const titleId = useId();

  useLayoutEffect(() => {
    const element = ref.current;
    if (element === null) return undefined;
    if (isModal) element.showModal();
    else element.show();
    if (!isModal) {
      document.documentElement.dataset['help'] = 'beside';
      help.opener()?.scrollIntoView({ block: 'nearest', inline: 'nearest' });
    }
    return () => {
      delete document.documentElement.dataset['help'];
      element.close();
    };
  }, [help, isModal]);

  useEffect(
    () => () => {
      const opener = help.opener();
      // What opened it may be gone with its part of the window.
      if (opener !== null && opener.isConnected) opener.focus();
      else document.getElementById('place')?.focus();
    },
    [help],
  );

  const goTo = (next: HelpView): void => {
    setQuery('');
    help.goTo(next);
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    // Single letters of the window are no commands while its help is read.
    event.stopPropagation();
    if (event.key === 'Escape') help.close();
    else if (event.altKey && event.key === 'ArrowLeft') help.step(-1);
    else if (event.altKey && event.key === 'ArrowRight') help.step(1);
    else return;
    event.preventDefault();
  };

  return (
    <dialog
      ref={ref} className={isModal ? 'help-panel' : 'help-panel help-panel-beside'} aria-labelledby={titleId} onKeyDown={onKeyDown}
      onCancel={(event) => {
        event.preventDefault();
        help.close();
      }}
    >
      <div className="help-head">
        <h2 id={titleId}>How it is worked out</h2>
        <Button look="quiet" disabled={at <= 0} aria-keyshortcuts="Alt+ArrowLeft" title="Back (Alt ←)" onClick={() => help.step(-1)}>Back</Button>
        <Button look="quiet" disabled={at >= trail.length - 1} aria-keyshortcuts="Alt+ArrowRight" title="Forward (Alt →)" onClick={() => help.step(1)}>Forward</Button>
        <Button look="quiet" aria-current={view?.path === null ? 'page' : undefined} onClick={() => goTo({ path: null, anchor: null, figure: null, among: [] })}>Contents</Button>
        <Button look="quiet" className="help-close" title="Close (Esc)" onClick={help.close}>Close</Button>
      </div>
      <form role="search" aria-label="Search the help" className="help-search" onSubmit={(event) => event.preventDefault()}>
        <TextField label="Search every page" type="search" value={query} onChange={setQuery} />
      </form>
      <Among view={view} onFigure={(figure) => {
        setQuery('');
        help.openFigure(figure, view?.among ?? [], ref.current);
      }} />
      <Body help={help} view={view} query={query} onGo={goTo} />
    </dialog>
  );
}

/** The other figures of the row that was asked from: one press each. */
function Among({ view, onFigure }: { readonly view: HelpView | null; readonly onFigure: (figure: keyof typeof FIGURES) => void }): JSX.Element | null {
  if (view === null || view.figure === null || view.among.length < 2) return null;
  return (
    <nav className="help-among" aria-label="Figures that stand beside it">
      {view.among.map((figure) => <Button key={figure} look="quiet" aria-current={figure === view.figure ? 'true' : undefined} onClick={() => onFigure(figure)}>{FIGURES[figure].name}</Button>)}
    </nav>
  );
}

interface BodyProps {
  readonly help: HelpStore;
  readonly view: HelpView | null;
  readonly query: string;
  readonly onGo: (view: HelpView) => void;
}

function Body({ help, view, query, onGo }: BodyProps): JSX.Element {
  const state = useStore(help.pages);
  const ref = useRef<HTMLDivElement>(null);
  const isSearch = query.trim() !== '';
  const isReady = state.kind === 'ready';
  // Whoever asked about a figure begins to read at its heading; where only the page changes its title is read out.
  useEffect(() => {
    const body = ref.current;
    if (body === null || isSearch || !isReady) return;
    const anchor = view?.anchor ?? null;
    const asked = anchor === null ? null : body.querySelector<HTMLElement>(`#${CSS.escape(anchorId(anchor))}`);
    const start = asked ?? body.querySelector<HTMLElement>('h3');
    if (asked === null) body.scrollTop = 0;
    else asked.scrollIntoView({ block: 'start' });
    start?.focus({ preventScroll: true });
  }, [view, isSearch, isReady]);

  const content = (): JSX.Element => {
    switch (state.kind) {
      case 'loading':
        return <Waiting>Opening the pages…</Waiting>;
      case 'failed':
        return <Notice tone="problem" title="The help cannot be shown." live><p>{state.message}</p><Button onClick={help.reload}>Try again</Button></Notice>;
      case 'ready': {
        if (isSearch) return <Hits pages={state.pages} query={query} onGo={onGo} />;
        const page = state.pages.find(({ path }) => path === view?.path);
        if (page !== undefined) return <PageView page={page} anchor={view?.anchor ?? null} onLink={(path, anchor) => onGo({ path, anchor, figure: null, among: [] })} />;
        return <Contents pages={state.pages} missing={view?.path ?? null} onGo={onGo} />;
      }
    }
  };
  return <div className="help-body" ref={ref} tabIndex={0} role="group" aria-label="The page">{content()}</div>;
}

function Contents({ pages, missing, onGo }: { readonly pages: readonly HelpPage[]; readonly missing: string | null; readonly onGo: BodyProps['onGo'] }): JSX.Element {
  const groups = [...new Set(pages.map(({ group }) => group))];
  return (
    <article className="help-page">
      <h3 tabIndex={-1}>Contents</h3>
      {missing === null ? null : <Notice tone="problem"><p>There is no page {missing} in this program.</p></Notice>}
      {groups.map((group) => (
        <section key={group}>
          <h4>{group}</h4>
          <ul className="help-contents">
            {pages.filter((page) => page.group === group).map((page) => (
              <li key={page.path}><Button look="link" className="help-link" onClick={() => onGo({ path: page.path, anchor: null, figure: null, among: [] })}>{page.title}</Button></li>
            ))}
          </ul>
        </section>
      ))}
    </article>
  );
}

function Hits({ pages, query, onGo }: { readonly pages: readonly HelpPage[]; readonly query: string; readonly onGo: BodyProps['onGo'] }): JSX.Element {
  const hits = useMemo(() => searchHelp(pages, query), [pages, query]);
  return (
    <div className="help-page">
      <p role="status">{hits.length === 0 ? 'Nothing in the pages holds all of these words. Take fewer of them, or look through the contents.' : hits.length === 1 ? 'One part holds all of these words.' : `${hits.length} parts hold all of these words${hits.length > HITS_SHOWN ? `; the first ${HITS_SHOWN}` : ''}.`}</p>
      <ul className="help-hits">
        {hits.slice(0, HITS_SHOWN).map((hit) => (
          <li key={`${hit.path}#${hit.anchor}`}>
            <Button look="link" className="help-link" onClick={() => onGo({ path: hit.path, anchor: hit.anchor, figure: null, among: [] })}>{hit.pageTitle === hit.title ? hit.title : `${hit.pageTitle}: ${hit.title}`}</Button>
            <span className="soft under">{hit.around}</span>
          </li>
        ))}
      </ul>
    </div>
  );
}
