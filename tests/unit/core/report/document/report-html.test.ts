import { describe, expect, test } from 'vitest';
import type { ReportDocument } from '../../../../../core/model/report-document.ts';
import { reportHtml } from '../../../../../core/report/document/report-html.ts';

const HOSTILE = `"><script>alert(1)</script><img src=x onerror=alert(1)>`;

function documentOf(over: Partial<ReportDocument> = {}): ReportDocument {
  return {
    title: 'Case sheet', subtitle: HOSTILE, language: 'en', header: `}</style>${HOSTILE}`, footer: HOSTILE, paper: 'A4', isDense: true,
    blocks: [
      { kind: 'heading', level: 2, text: HOSTILE },
      { kind: 'paragraph', tone: 'plain', text: `${HOSTILE}\u0000\ud800` },
      { kind: 'facts', rows: [[HOSTILE, HOSTILE]] },
      { kind: 'list', isNumbered: true, items: [HOSTILE] },
      { kind: 'figure', figure: { caption: HOSTILE, alternative: HOSTILE, scene: { width: 10, height: 10, shapes: [{ kind: 'text', x: 1, y: 1, text: HOSTILE, size: 6, ink: 'ink', align: 'start' }] } }, table: null },
      { kind: 'table', table: { caption: HOSTILE, columns: [{ heading: HOSTILE, align: 'end' }], rows: [[HOSTILE]], note: HOSTILE } },
    ],
    ...over,
  };
}

describe('a report as HTML', () => {
  const html = reportHtml(documentOf());
  /** The tags without what their attributes say. */
  const tags = (html.replace(/<style>.*<\/style>/su, '').replace(/"[^"]*"/g, '""').match(/<[^>]+>/g) ?? []).join('');

  test('nothing in it can run, whatever a case is called', () => {
    expect(html).not.toMatch(/<script|<img|<iframe|<object|<link/i);
    expect(tags).not.toMatch(/ on\w+=/i);
    // One style element, which the header cannot end early.
    expect(html.match(/<style>/g)).toHaveLength(1);
    expect(html.match(/<\/style>/g)).toHaveLength(1);
    expect(/<style>(.*)<\/style>/su.exec(html)?.[1]).not.toMatch(/[<>]/);
  });

  test('it needs nothing from elsewhere', () => {
    expect([...html.matchAll(/https?:\/\/[^"'\s<]+/g)].map(([address]) => address)).toEqual(['http://www.w3.org/2000/svg']);
    expect(tags).not.toMatch(/ (src|href|srcset|action|data)=/i);
    expect(reportHtml(documentOf({ header: 'Plain' }))).not.toMatch(/url\(|@import/i);
    expect(html).toContain(`content="default-src 'none'; style-src 'unsafe-inline'"`);
  });

  test('what XML cannot hold is shown as a replacement sign, once each', () => {
    expect(html).toContain('\ufffd\ufffd');
    expect(html).not.toContain('\u0000');
  });

  test('language, table headings and words for pictures are there for who has it read out', () => {
    expect(html).toContain('<html lang="en">');
    expect(html).toMatch(/<th scope="col"/);
    expect(html).toMatch(/<th scope="row"/);
    expect(html).toMatch(/<svg [^>]*role="img" aria-label=/);
  });

  test('paper and header of the local policy are set for print, and an empty header leaves no box', () => {
    expect(reportHtml(documentOf({ paper: 'Letter', header: 'Peer review' }))).toMatch(/@page\{size:Letter portrait;[^}]*@top-center\{content:"Peer review"/);
    expect(reportHtml(documentOf({ paper: 'Letter', header: 'Peer review' }))).toContain('@page :first{@top-center{content:none}}');
    expect(reportHtml(documentOf({ header: '' }))).not.toContain('class="policy"');
  });
});
