import type { JSX } from 'react';
import { useHelp } from '../../help/help-store.ts';
import { Button } from '../../widgets/button.tsx';
import { Disclosure } from '../../widgets/disclosure.tsx';

/** How one figure of the case screen is worked out, and the page of the documentation that says all of it. */
interface Explanation {
  readonly figure: string;
  readonly text: string;
  readonly page: string;
}

const EXPLANATIONS = {
  lost: { figure: 'Time lost', text: 'Low runs from the first lost value to the last, high from the last good value to the first good one, mid is their mean. The sampling interval hides the rest.', page: 'methods/dropout' },
  share: { figure: 'Share', text: 'Time lost, mid, over the time in which the site was meant to give information; record gaps taken out unless the definition keeps them.', page: 'methods/monitored-time' },
  second: { figure: 'Doubtful as lost', text: 'The same worked out with weak and disputed values counted as lost instead of as information.', page: 'methods/sample-status' },
  below: { figure: 'Time and area below a threshold', text: 'Along the lines between neighbouring values, cut where they cross the threshold, never across a loss. The least is what was seen (the lost time all above); at most takes all of it below, for the area at the floor of the definitions.', page: 'metrics/time-below' },
  hypoxaemia: { figure: 'Lowest value, T90, runs and desaturations', text: 'While there was information. A run is below 90 % (or 85 % and less) for 2 min or more; a desaturation is a fall from the median of the time before.', page: 'metrics/hypoxaemia' },
  comparison: { figure: 'Change over the gap', text: 'SpO2 after less SpO2 before, set beside the changes over intervals of the same length in the same case at the same sensor in which nothing was lost. They overlap, so their share is no probability.', page: 'metrics/drop-on-return' },
  bound: { figure: 'What cannot be excluded', text: 'From the last good value down at the greatest rate of fall, and up to the first good one at the greatest rate of rise. A bound, not what happened.', page: 'metrics/cannot-be-excluded' },
  patterns: { figure: 'Onset patterns', text: 'Rules on what the record shows just before a loss. Every pattern whose rule holds is named, several or none.', page: 'methods/onset-patterns' },
  blind: { figure: 'Blind intervals', text: 'No site gave information: certain where the losses of all sites overlap, possible where they can have overlapped.', page: 'methods/blind-interval' },
  restoration: { figure: 'Time to information', text: 'Median time lost until the same sensor informed again; dropouts that ended elsewhere or never are taken as longer than they were followed (product-limit).', page: 'metrics/restoration' },
  links: { figure: 'What preceded, what was done', text: 'Entries of the record within their look-back before the onset, and those during the loss. What was not written down is not here.', page: 'methods/linkage' },
  covered: { figure: 'Coverage the other site would have given', text: 'Share of the lost time of one sensor in which the other had information, each loss from the middle of its onset to the middle of its end. Low and high count what the samples leave open against and for the other.', page: 'metrics/site-pairs' },
  siteLag: { figure: 'Lag between sites', text: 'How far the second curve must be moved so that the two correlate best around falls and rises. The uncertainty holds what fits nearly as well.', page: 'metrics/site-lag' },
  siteDifferences: { figure: 'Differences between sites', text: 'Stable stretches of both, one pair a minute at most, the lag taken out. Over cases the case is the unit; limits need at least two.', page: 'metrics/site-pairs' },
  signal: { figure: 'Strength and steadiness', text: 'The perfusion index weighted by the time each value stands; short losses that are in no dropout, and unbroken runs of doubtful values, per monitored hour.', page: 'metrics/signal-strength' },
} as const satisfies Readonly<Record<string, Explanation>>;

export type ExplanationName = keyof typeof EXPLANATIONS;
export const EXPLANATION_NAMES = ['lost', 'share', 'second', 'below', 'hypoxaemia', 'comparison', 'bound', 'patterns', 'blind', 'restoration', 'links'] as const satisfies readonly ExplanationName[];

/** Those of the comparison of sites. */
export const SITE_EXPLANATIONS = ['covered', 'siteLag', 'siteDifferences', 'signal'] as const satisfies readonly ExplanationName[];

/** Returns how figures are worked out, one sentence or two each, with the page that says all of it. */
export function ExplanationList({ names }: { readonly names: readonly ExplanationName[] }): JSX.Element {
  const help = useHelp();
  return (
    <dl className="explanations">
      {names.map((name) => {
        const { figure, text, page } = EXPLANATIONS[name];
        return (
          <div key={name}>
            <dt>{figure}</dt>
            <dd>{text} <span className="soft">More: {help === null ? `docs/${page}.md` : <Button look="link" onClick={(event) => help.openPage(`docs/${page}.md`, null, event.currentTarget)}>docs/{page}.md</Button>}</span></dd>
          </div>
        );
      })}
    </dl>
  );
}

/** Returns the same under a heading that opens. */
export function HowWorkedOut({ names }: { readonly names: readonly ExplanationName[] }): JSX.Element {
  return <Disclosure summary="How is this worked out?"><ExplanationList names={names} /></Disclosure>;
}
