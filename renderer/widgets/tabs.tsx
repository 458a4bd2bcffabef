import { useId, useRef, type JSX, type ReactNode } from 'react';

export interface Tab {
  readonly id: string;
  readonly label: ReactNode;
  readonly content: () => ReactNode;
}

export interface TabsProps {
  readonly label: string;
  readonly tabs: readonly Tab[];
  readonly chosen: string;
  readonly onChoose: (id: string) => void;
}

/** Returns tabs: one stop for the Tab key, arrows, Home and End move between them. */
export function Tabs({ label, tabs, chosen, onChoose }: TabsProps): JSX.Element {
  const id = useId();
  const listRef = useRef<HTMLDivElement>(null);
  const current = tabs.find((tab) => tab.id === chosen) ?? tabs[0];
  const moveTo = (index: number): void => {
    const tab = tabs[(index + tabs.length) % tabs.length];
    if (tab === undefined) return;
    onChoose(tab.id);
    listRef.current?.querySelector<HTMLElement>(`[data-tab="${tab.id}"]`)?.focus();
  };
  return (
    <div className="tabs">
      <div role="tablist" aria-label={label} className="tab-list" ref={listRef}>
        {tabs.map((tab, index) => (
          <button
            key={tab.id} type="button" role="tab" id={`${id}-${tab.id}`} data-tab={tab.id} className="tab"
            aria-selected={tab === current} aria-controls={`${id}-panel`} tabIndex={tab === current ? 0 : -1}
            onClick={() => onChoose(tab.id)}
            onKeyDown={(event) => {
              if (event.key === 'ArrowRight') moveTo(index + 1);
              else if (event.key === 'ArrowLeft') moveTo(index - 1);
              else if (event.key === 'Home') moveTo(0);
              else if (event.key === 'End') moveTo(tabs.length - 1);
              else return;
              event.preventDefault();
              event.stopPropagation();
            }}
          >
            {tab.label}
          </button>
        ))}
      </div>
      {current === undefined ? null : (
        <div key={current.id} role="tabpanel" id={`${id}-panel`} aria-labelledby={`${id}-${current.id}`} className="tab-panel" tabIndex={-1}>
          {current.content()}
        </div>
      )}
    </div>
  );
}
