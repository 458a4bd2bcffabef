import type { JSX, ComponentType } from 'react';
import { REVIEW_PARTS, type ReviewPart } from '../../state/review-parts.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { useStartAtTop } from '../../widgets/start-at-top.ts';
import { AgreementPanel } from './agreement-panel.tsx';
import { DisagreementsPanel } from './disagreements-panel.tsx';
import { ExchangePanel } from './exchange-panel.tsx';
import { QueuePanel } from './queue-panel.tsx';
import { TrailPanel } from './trail-panel.tsx';
import './review.css';

/** What stands under each tab; `REVIEW_PARTS` has their order. */
const PARTS: Readonly<Record<ReviewPart, { readonly name: string; readonly Content: ComponentType }>> = {
  queue: { name: 'Queue', Content: QueuePanel },
  agreement: { name: 'Agreement', Content: AgreementPanel },
  disagreements: { name: 'Disagreements', Content: DisagreementsPanel },
  exchange: { name: 'Exchange', Content: ExchangePanel },
  trail: { name: 'Trail', Content: TrailPanel },
};

/** Returns the place Review: what is to be read in which order, and the trail of all that was said and done. */
export function ReviewPlace(): JSX.Element {
  const session = useSession();
  const part = useStore(session.reviewPart);
  const { Content } = PARTS[part];
  useStartAtTop(part);
  return (
    <>
      <nav aria-label="Parts of the review" className="part-links">
        {REVIEW_PARTS.map((name) => (
          <button key={name} type="button" className="part-link" aria-current={name === part ? 'page' : undefined} onClick={() => session.reviewPart.set(name)}>{PARTS[name].name}</button>
        ))}
      </nav>
      <Content />
    </>
  );
}
