/**
 * What the page's JSX is turned into calls of (the build puts it in the place of React's own): every text on its way into an element
 * keeps a number on one line with its unit, wherever its words were made. Attributes, code and what is typed keep their plain spaces.
 * One text in two pieces, `{count} min`, is not seen: there the space is written `&nbsp;`.
 */
import type { ElementType } from 'react';
import { Fragment, jsx as reactJsx, jsxs as reactJsxs } from 'react/jsx-runtime';
import { unbrokenWithDays } from '../../core/base/unbroken.ts';

export { Fragment };

/** Elements whose text is no running text, or is compared and copied as it stands. */
const LEFT_ALONE: ReadonlySet<string> = new Set(['code', 'pre', 'option', 'textarea', 'title', 'style', 'script', 'text', 'tspan', 'desc']);

const HAS_DIGIT_AND_SPACE = /\d | \d/;

interface WithChildren {
  readonly children?: unknown;
}

/** As React's own, with the text of elements drawn unbroken. */
export function jsx(type: ElementType, props: WithChildren, key?: string): ReturnType<typeof reactJsx> {
  return reactJsx(type, drawn(type, props), key);
}

/** As React's own, with the text of elements drawn unbroken. */
export function jsxs(type: ElementType, props: WithChildren, key?: string): ReturnType<typeof reactJsxs> {
  return reactJsxs(type, drawn(type, props), key);
}

/** Components are handed their words as they are: only what becomes text of the page is changed. */
function drawn(type: ElementType | typeof Fragment, props: WithChildren): WithChildren {
  if (typeof type === 'string' ? LEFT_ALONE.has(type) : type !== Fragment) return props;
  const children = drawnText(props.children);
  return children === props.children ? props : { ...props, children };
}

function drawnText(children: unknown): unknown {
  if (typeof children === 'string') return HAS_DIGIT_AND_SPACE.test(children) ? unbrokenWithDays(children) : children;
  if (!Array.isArray(children)) return children;
  const texts = children.map(drawnText);
  return texts.every((text, i) => text === children[i]) ? children : texts;
}
