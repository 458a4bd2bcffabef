import { Fragment, type JSX } from 'react';
import { TourButtons } from '../panels/tour/tour-offer.tsx';
import { PRESENTING_KEYS } from '../panels/meeting/presenting/presenting-keys.ts';
import { VERDICT_KEYS } from '../panels/review/verdict-keys.ts';
import { useSession } from '../state/session.ts';
import { useStore } from '../state/store.ts';
import { TIMELINE_KEYS } from '../timeline/keys.ts';
import { Dialog } from '../widgets/dialog.tsx';
import { CheckField } from '../widgets/field.tsx';
import { COMMANDS, LOCAL_KEYS } from './commands.ts';

/** Returns a key as the lists of keys name it: a letter as it stands on the key, with Shift said where it is needed. */
function shownKey(key: string): string {
  if (/^[A-Z]$/.test(key)) return `Shift ${key}`;
  return /^[a-z]$/.test(key) ? key.toUpperCase() : key;
}

/** Returns keys as they are listed, each as a key of its own: "N or ]", "Alt ←, Alt →, Esc". */
function Keys({ shown }: { readonly shown: string }): JSX.Element {
  return <>{shown.split(' or ').map((keys, i) => <Fragment key={keys}>{i === 0 ? null : <span className="soft">or </span>}{keys.split(', ').map((key) => <kbd key={key}>{key}</kbd>)}</Fragment>)}</>;
}

/** Keys of the timeline that are none of the window's: those stand in its own list. */
const ONLY_TIMELINE = TIMELINE_KEYS.filter(({ keys }) => !COMMANDS.some((command) => command.keys.some((key) => keys.includes(key))));

/** Returns the list of keys. */
export function HelpDialog({ onClose }: { readonly onClose: () => void }): JSX.Element {
  const session = useSession();
  const preferences = useStore(session.preferences);
  const groups = [...new Set(COMMANDS.map((command) => command.group))];
  return (
    <Dialog title="Keys" onClose={onClose} width="wide">
      <div className="row">
        <CheckField
          label="Single letters are commands (turn this off if you dictate or if keys are struck by accident)"
          checked={preferences.singleKeys}
          onChange={(singleKeys) => session.preferences.change({ singleKeys })}
        />
        <TourButtons onBegin={onClose} />
      </div>
      <div className="key-columns">
        {groups.map((group) => (
          <section key={group}>
            <h3>{group}</h3>
            <dl className="key-list">
              {COMMANDS.filter((command) => command.group === group).map((command) => (
                <div key={command.commandId}>
                  <dt><Keys shown={command.keys.map(shownKey).join(' or ')} /></dt>
                  <dd>{command.label}</dd>
                </div>
              ))}
            </dl>
          </section>
        ))}
        <section>
          <h3>In the timeline</h3>
          <dl className="key-list key-list-wide">
            {ONLY_TIMELINE.map((binding) => (
              <div key={binding.command}>
                <dt><Keys shown={binding.shown} /></dt>
                <dd>{binding.meaning}</dd>
              </div>
            ))}
          </dl>
        </section>
        <section>
          <h3>Review of the open case</h3>
          <dl className="key-list">
            {VERDICT_KEYS.map(({ key, meaning }) => (
              <div key={key}>
                <dt><kbd>{shownKey(key)}</kbd></dt>
                <dd>{meaning}</dd>
              </div>
            ))}
          </dl>
        </section>
        <section>
          <h3>While presenting</h3>
          <dl className="key-list key-list-wide">
            {PRESENTING_KEYS.map(({ command, shown, meaning }) => (
              <div key={command}>
                <dt><Keys shown={shown} /></dt>
                <dd>{meaning}</dd>
              </div>
            ))}
          </dl>
        </section>
        <section>
          <h3>Where the focus is</h3>
          <dl className="key-list key-list-wide">
            {LOCAL_KEYS.map((entry) => (
              <div key={`${entry.where} ${entry.keys}`}>
                <dt><Keys shown={entry.keys} /></dt>
                <dd>{entry.where}: {entry.does}</dd>
              </div>
            ))}
          </dl>
        </section>
      </div>
    </Dialog>
  );
}
