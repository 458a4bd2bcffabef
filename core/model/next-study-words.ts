import type { NoStudyReason, StudyCaution } from './next-study.ts';

/** Why nothing can be planned. */
export const NO_STUDY_WORDS: Readonly<Record<NoStudyReason, string>> = {
  'too few patients': 'The chosen cases have fewer than two patients with what the design needs (ten minutes of each site; in the paired design of both at once). Choose other sites, the parallel design, or more cases.',
  'nothing lost at the first site': 'Nothing was lost at the first site in the chosen cases: there is no spread to plan from.',
  'nothing lost at the second site': 'Nothing was lost at the second site in the chosen cases, so it cannot be set to the effect asked about. In the parallel design the first site can stand for it.',
  'effect not possible': 'With this effect the second site would lose less than nothing.',
  'no effect': 'The effect asked about is none at all: no study finds it.',
  'paired needs both sites': 'A paired study needs cases in which both sites were worn at once.',
  'all patients alike': 'The differences between the sites are the same in all patients: there is no spread to plan from.',
};

/** What is to be known before sizes are used. */
export const STUDY_CAUTION_WORDS: Readonly<Record<StudyCaution, string>> = {
  'fewer than 10 patients': 'Fewer than 10 patients are behind this: the spread is hardly known, and every size is a guess. Plan with the larger size that the upper limit of the spread gives, or collect more first.',
  'fewer than 20 patients': 'Fewer than 20 patients are behind this: the spread is poorly known. Look at the size with the upper limit of the spread too.',
  'most patients without loss': 'Most patients lost nothing: means and their intervals rest on a few. The power by ranks tells more about such data, and a study of few patients may by chance have hardly any loss.',
  'share capped': 'For some patients the effect would have made the share lost more than all of the time; it was set to all of it, so the effect drawn is a little smaller.',
  'interval too narrow': 'At some of these sizes the interval holds the truth clearly less often than it says. Take a larger study, or the analysis by ranks.',
  'site not assigned at random': 'In the library a site was chosen for reasons: an ear sensor may be there because the finger had failed. The spread of each site is taken as it is; in the study the site has to be assigned at random.',
  'second site assumed': 'The second site has the spread of the first: nothing of its own is in this plan.',
};
