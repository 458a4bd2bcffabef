import { renderToStaticMarkup } from 'react-dom/server';
import { expect, test } from 'vitest';
import { Fragment, jsx, jsxs } from '../../../../renderer/drawn-text/jsx-runtime.ts';

const NBSP = '\u00a0';
const markup = (element: ReturnType<typeof jsx>): string => renderToStaticMarkup(element).replaceAll('&nbsp;', NBSP);

test('a number breaks from its unit in no text of an element, alone, among others, in a fragment or in a list', () => {
  expect(markup(jsx('p', { children: 'mid 4 h 40 min' }))).toBe(`<p>mid 4${NBSP}h${NBSP}40${NBSP}min</p>`);
  expect(markup(jsxs('p', { children: ['lost ', '20 s', ' of 3 h', jsx('b', { children: '97 %' })] }))).toBe(`<p>lost 20${NBSP}s of 3${NBSP}h<b>97${NBSP}%</b></p>`);
  expect(markup(jsx(Fragment, { children: '5 mg' }))).toBe(`5${NBSP}mg`);
  expect(markup(jsxs('p', { children: ['every ', ['10 s', ', 1 min']] }))).toBe(`<p>every 10${NBSP}s, 1${NBSP}min</p>`);
});

test('words handed to a component reach it as they are, and are drawn unbroken where they become text', () => {
  const handed: unknown[] = [];
  const Line = ({ children }: { readonly children?: unknown }) => {
    handed.push(children);
    return jsx('p', { children });
  };
  expect(markup(jsx(Line, { children: '40 s' }))).toBe(`<p>40${NBSP}s</p>`);
  expect(handed).toEqual(['40 s']);
});

test('attributes, code, choices and what is typed keep their plain spaces', () => {
  expect(markup(jsx('p', { title: '40 s', children: 'none' } as { children: string }))).toBe('<p title="40 s">none</p>');
  for (const name of ['code', 'option', 'text']) expect(markup(jsx(name as 'code', { children: '40 s' }))).toBe(`<${name}>40 s</${name}>`); // names of elements
});

test('children that need no change are the same, and keys stay', () => {
  const children = ['3 cases', ' of ', '12'];
  const { props, key } = jsxs('p', { children }, 'a-key');
  expect((props as { readonly children: unknown }).children).toBe(children); // what was handed in one line above
  expect(key).toBe('a-key');
});
