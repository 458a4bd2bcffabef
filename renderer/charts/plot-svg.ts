import { plot, type PlotOptions } from '@observablehq/plot';
import { HIT_CLASS } from './chart-marks.ts';
import type { ChartDrawing } from './chart-types.ts';

/** The class of every picture; charts.css gives it type and colours. */
export const PICTURE_CLASS = 'chart-picture';
/** Holds a point's place in the drawing's list. */
export const POINT_ATTRIBUTE = 'data-point';

/**
 * Returns the picture, not yet in the page, with its points made buttons of which one is a stop for the Tab key.
 * The library puts a style sheet into the picture, which the policy of the page forbids; it is taken out before the
 * picture is in the page, and charts.css says the same.
 * Errors   throws when the library warns or when points and marks do not match: our bug.
 */
export function drawPicture({ options, points }: ChartDrawing, title: string): SVGSVGElement {
  const drawn = plot({ ...withoutNothing(options), className: PICTURE_CLASS });
  if (!(drawn instanceof SVGSVGElement)) throw new Error('the picture came with parts around it');
  drawn.querySelector('style')?.remove();
  drawn.setAttribute('role', 'group');
  drawn.setAttribute('aria-label', title);
  for (const layer of drawn.children) if (!layer.classList.contains(HIT_CLASS)) layer.setAttribute('aria-hidden', 'true');
  const marks = [...drawn.querySelectorAll<SVGElement>(`.${HIT_CLASS} > *`)];
  for (const mark of marks) {
    // The library binds to every mark its place in the data.
    const index: unknown = Reflect.get(mark, '__data__');
    const point = typeof index === 'number' ? points[index] : undefined;
    if (point === undefined) throw new Error('a mark of the picture has no point');
    mark.setAttribute(POINT_ATTRIBUTE, String(index));
    mark.setAttribute('role', 'button');
    mark.setAttribute('tabindex', index === 0 ? '0' : '-1');
    mark.setAttribute('aria-label', point.label);
  }
  if (marks.length !== points.length) throw new Error(`${points.length} points and ${marks.length} marks that take presses`);
  return drawn;
}

/** Returns the options without entries that are undefined, which the library takes for values. */
function withoutNothing(options: PlotOptions): PlotOptions {
  return Object.fromEntries(Object.entries(options).filter(([, value]) => value !== undefined));
}
