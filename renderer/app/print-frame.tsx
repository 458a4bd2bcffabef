import { useEffect, type JSX } from 'react';
import { sameParameters } from '../../core/model/same-parameters.ts';
import { shortDefinitionText } from '../format/definition-text.ts';
import { useSession } from '../state/session.ts';
import { useStore } from '../state/store.ts';

const CAUTION = 'Looks back at finished anaesthetics; not for decisions about a patient now. Association is not cause.';

export interface PrintFrameProps {
  /** The place as the window names it. */
  readonly placeName: string;
  /** The name of the case that the place shows; null: it shows no single case. */
  readonly caseName: string | null;
  /** Whether the place shows what definitions on trial give; elsewhere those of the library hold. */
  readonly followsTrial: boolean;
}

/**
 * Returns what stands over the first sheet when the window is printed: program, version, library, place, case, the definition in force
 * (a case says its own), the confidentiality text of the library and the caution. The running head and foot of every sheet say the shorter of it.
 */
export function PrintFrame({ placeName, caseName, followsTrial }: PrintFrameProps): JSX.Element {
  const session = useSession();
  const description = useStore(session.description);
  const { draft, saved } = useStore(session.definitions);
  const { confidentialityText } = useStore(session.reportSetting);
  const compared = useStore(session.comparedCase);
  const program = description === null ? 'Lacuna' : `Lacuna ${description.productVersion}`;
  const what = caseName === null ? placeName : `${placeName} ${caseName}${compared === null ? '' : `, compared with ${compared}`}`;
  const inForce = followsTrial || saved === null ? draft : saved;
  const definition = `Definition ${shortDefinitionText(inForce)}`;
  const isTrial = saved !== null && !sameParameters(saved, inForce);
  const place = `${program} · ${what} · definition “${inForce.name}”${isTrial ? ', on trial' : ''}`;
  return (
    <>
      <SheetTexts place={place} policy={confidentialityText} />
      <div className="print-head">
        <p><strong>{program}</strong>{description === null ? '' : ` · library “${description.libraryName}”`} · <strong>{what}</strong></p>
        {confidentialityText === '' ? null : <p className="print-policy">{confidentialityText}</p>}
        {caseName === null ? <p>{definition}{isTrial ? ' (on trial, the library uses another)' : ''}</p> : null}
        <p>Lacuna looks back at finished anaesthetics. It is not for decisions about a patient now, and it is no alarm. A missing value does not prove that a display was blank.</p>
      </div>
    </>
  );
}

export interface SheetTextsProps {
  /** '' where the page itself says all that may be said of it, as a presentation does. */
  readonly place: string;
  readonly policy: string;
}

/** Says what the running head and foot of every sheet hold. Returns nothing. */
export function SheetTexts({ place, policy }: SheetTextsProps): null {
  useEffect(() => {
    const { style } = document.documentElement;
    const texts = { '--print-place': place, '--print-policy': policy, '--print-caution': CAUTION };
    for (const [name, text] of Object.entries(texts)) style.setProperty(name, cssText(text));
    return () => {
      for (const name of Object.keys(texts)) style.removeProperty(name);
    };
  }, [place, policy]);
  return null;
}

/** Returns a text as a string of CSS that nothing in it can end. */
function cssText(text: string): string {
  return `"${text.replace(/["\\\p{Cc}]/gu, (sign) => `\\${(sign.codePointAt(0) ?? 0x20).toString(16)} `)}"`;
}
