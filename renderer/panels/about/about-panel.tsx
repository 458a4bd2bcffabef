import type { JSX } from 'react';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { TourButtons } from '../tour/tour-offer.tsx';
import { CAUTIONS } from '../../../core/model/cautions.ts';

/** Returns what the program is, its cautions and its words. */
export function AboutPanel(): JSX.Element {
  const session = useSession();
  const description = useStore(session.description);
  return (
    <article className="page page-narrow">
      <h1>About &amp; cautions</h1>
      <p className="lead">
        Lacuna tells, after the operation, when the pulse oximeter went blind: where the record of an anaesthetic holds no usable SpO2, between
        which bounds, what preceded it, and what was seen when information came back.
      </p>
      <p className="soft">
        {description === null
          ? 'The version is not known yet.'
          : `Version ${description.productVersion}; ${description.door === 'desktop' ? 'in its own desktop window' : 'in a browser window over this computer alone'}; library “${description.libraryName}”. Records stay in that ${description.lock === null ? 'folder' : 'file'}; nothing is sent anywhere.`}
      </p>
      <h2>Learn by doing</h2>
      <p>Steps on the sample cases, which are invented: each says what to press and goes on when you have done it.</p>
      <div className="row"><TourButtons /></div>
      <h2>Cautions</h2>
      <ol className="cautions">
        {CAUTIONS.map((caution) => (
          <li key={caution.number} value={caution.number}>
            <strong>{caution.title}.</strong> {caution.text}
          </li>
        ))}
      </ol>
      <h2>Words</h2>
      <dl className="glossary">
        <div><dt>dropout</dt><dd>one episode at one site in which SpO2 information was lost</dd></div>
        <div><dt>blind interval</dt><dd>a time in which no site of the case gave information</dd></div>
        <div><dt>record gap</dt><dd>a time in which every channel is missing: the recorder stopped, not the sensor</dd></div>
        <div><dt>doubtful</dt><dd>a value that stands on weak perfusion, or beside a pulse rate that disagrees with the ECG; counted as information in the first result and as lost in the second</dd></div>
        <div><dt>low, mid, high</dt><dd>the shortest and longest time the loss can have lasted, given how often the record was written, and their mean</dd></div>
        <div><dt>monitored time</dt><dd>from a site’s first good value to its last, within the anaesthetic: what a share is a share of</dd></div>
      </dl>
    </article>
  );
}
