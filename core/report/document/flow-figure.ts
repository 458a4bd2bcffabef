import { countText } from '../../base/number-text.ts';
import type { CohortFlow, FlowStep } from '../../model/cohort-flow.ts';
import type { ReportFigure, Shape } from '../../model/report-document.ts';
import { FIGURE_WIDTH } from './case-figure.ts';
import { box, label, roughWidth, stroke } from './plot-frame.ts';

const BOX_WIDTH = 190;
const BOX_HEIGHT = 30;
const SIDE_LEFT = 232;
const LINE = 10;
const SIDE_SIZE = 7.5;

/** What each step means, in the order of the flow. */
export const STEP_WORDS: Readonly<Record<FlowStep['step'], string>> = {
  imported: 'named by a file',
  readable: 'put together and analysed',
  usable: 'with SpO2 and a monitored sensor',
  analysed: 'chosen, and in the results',
};

/** Returns the flow of cases as a diagram: a box for every step, and beside each what was left out before it, with the reason. */
export function flowFigure({ steps }: CohortFlow): ReportFigure {
  const shapes: Shape[] = [];
  const middle = 4 + BOX_WIDTH / 2;
  let y = 4;
  for (const [i, { step, cases, leftOut }] of steps.entries()) {
    if (i > 0) {
      const lines = leftOut.flatMap(({ reason, cases: left }) => broken(`${left.length}: ${reason}`));
      const side = lines.length * LINE + 8;
      const gap = leftOut.length === 0 ? 18 : side + 12;
      const at = y + gap / 2;
      shapes.push(stroke([middle, y], [middle, y + gap - 4], 'ink', 0.8), { kind: 'mark', form: 'triangle down', x: middle, y: y + gap - 3, size: 5, ink: 'ink' });
      if (leftOut.length > 0) {
        shapes.push(stroke([middle, at], [SIDE_LEFT, at], 'ink', 0.8), box(SIDE_LEFT, at - side / 2, FIGURE_WIDTH - SIDE_LEFT - 4, side, null, 'rule'));
        for (const [j, text] of lines.entries()) shapes.push(label(SIDE_LEFT + 6, at - side / 2 + 11 + j * LINE, text, { size: SIDE_SIZE, ink: 'ink' }));
      }
      y += gap;
    }
    shapes.push(box(4, y, BOX_WIDTH, BOX_HEIGHT, 'faint', 'rule'), label(middle, y + 13, `${step}: ${countText(cases, 'case', 'cases')}`, { size: 9, ink: 'ink', align: 'middle', isBold: true }), label(middle, y + 24, STEP_WORDS[step], { size: SIDE_SIZE, align: 'middle' }));
    y += BOX_HEIGHT;
  }
  return { caption: 'Flow of cases. To the right: what was left out between two steps, and why.', alternative: flowWords(steps).join(' '), scene: { width: FIGURE_WIDTH, height: y + 4, shapes } };
}

/** Breaks a line where it would leave its box. */
function broken(text: string): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (line !== '' && roughWidth(longer, SIDE_SIZE) > FIGURE_WIDTH - SIDE_LEFT - 16) {
      lines.push(line);
      line = `    ${word}`;
    } else line = longer;
  }
  return [...lines, line];
}

/** Returns the flow in sentences, one for each step. */
export function flowWords(steps: readonly FlowStep[]): string[] {
  return steps.map(({ step, cases, leftOut }) => {
    const said = `${countText(cases, 'case was', 'cases were')} ${step} (${STEP_WORDS[step]}).`;
    return leftOut.length === 0 ? said : `${said} Left out before: ${leftOut.map((one) => `${one.cases.length} because ${one.reason}`).join('; ')}.`;
  });
}
