import type { ReportBlock, ReportDocument, ReportSheets, ReportTable } from '../../model/report-document.ts';
import { INKS } from '../../model/report-document.ts';
import { escapeText } from './escape-text.ts';
import { sceneSvg } from './scene-svg.ts';
import { unbroken } from '../../base/unbroken.ts';

/**
 * Returns a report as one HTML file: no script, no font, no picture and no style from elsewhere, so it opens anywhere, also without a
 * network, and nothing in it can run.
 * Shape   the same document gives the same text.
 */
export function reportHtml(document: ReportDocument): string {
  const { title, subtitle, header, footer, blocks } = document;
  return pageHtml(document, `${title}: ${subtitle}`, `${header === '' ? '' : `<p class="policy">${escapeText(header)}</p>\n`}<main>
<h1>${escapeText(title)}</h1>
<p class="subtitle">${escapeText(subtitle)}</p>
${blocks.map(blockHtml).join('\n')}
</main>
<footer>${escapeText(footer)}</footer>`);
}

/** Returns sheets as one such file: a list that leads to each, then one below the other; printed, each begins on a page of its own. */
export function sheetsHtml({ title, documents }: ReportSheets): string {
  const [first] = documents;
  if (first === undefined) throw new Error('there is nothing to write');
  const { header } = first;
  return pageHtml(first, title, `${header === '' ? '' : `<p class="policy">${escapeText(header)}</p>\n`}<nav>
<p class="subtitle">${escapeText(title)}</p>
<ol>${documents.map(({ subtitle }, i) => `<li><a href="#sheet-${i + 1}">${escapeText(subtitle)}</a></li>`).join('')}</ol>
</nav>
<main>
${documents.map((document, i) => `<section class="sheet" id="sheet-${i + 1}">
<h1>${escapeText(document.title)}</h1>
<p class="subtitle">${escapeText(document.subtitle)}</p>
${document.blocks.map(blockHtml).join('\n')}
<p class="foot">${escapeText(document.footer)}</p>
</section>`).join('\n')}
</main>`);
}

function pageHtml(look: ReportDocument, title: string, body: string): string {
  return `<!doctype html>
<html lang="${look.language}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<meta name="robots" content="noindex">
<title>${escapeText(title)}</title>
<style>${styleOf(look)}</style>
</head>
<body>
${body}
</body>
</html>
`;
}

/** Returns a part of a report or a slide. */
export function blockHtml(block: ReportBlock): string {
  switch (block.kind) {
    case 'heading':
      return `<h${block.level}>${bodyText(block.text)}</h${block.level}>`;
    case 'paragraph':
      return `<p${block.tone === 'plain' ? '' : ` class="${block.tone}"`}>${bodyText(block.text)}</p>`;
    case 'list': {
      const tag = block.isNumbered ? 'ol' : 'ul';
      return `<${tag}>${block.items.map((text) => `<li>${bodyText(text)}</li>`).join('')}</${tag}>`;
    }
    case 'facts':
      return `<dl>${block.rows.map(([name, text]) => `<div><dt>${bodyText(name)}</dt><dd>${bodyText(text)}</dd></div>`).join('')}</dl>`;
    case 'table':
      return tableHtml(block.table);
    case 'figure': {
      const { caption, alternative, scene } = block.figure;
      return `<figure>${sceneSvg(scene, alternative)}<figcaption>${bodyText(caption)}</figcaption></figure>${block.table === null ? '' : `\n${tableHtml(block.table)}`}`;
    }
  }
}

/** Letters of a cell that is short. */
const MOST_SHORT = 16;

function tableHtml({ caption, columns, rows, note }: ReportTable): string {
  const end = (i: number): string => (columns[i]?.align === 'end' ? ' class="end"' : '');
  // Columns of few words, which a slide keeps on one line where a paper may break them.
  const short = columns.map(({ align }, i) => align === 'start' && rows.every((cells) => (cells[i] ?? '').length <= MOST_SHORT) && rows.some((cells) => (cells[i] ?? '').includes(' ')));
  const look = (i: number): string => (short[i] === true ? ' class="short"' : end(i));
  const head = columns.map(({ heading }, i) => `<th scope="col"${end(i)}>${escapeText(heading)}</th>`).join('');
  const body = rows.map((cells) => `<tr>${cells.map((text, i) => (i === 0 ? `<th scope="row"${end(i)}>${bodyText(text)}</th>` : `<td${look(i)}>${bodyText(text)}</td>`)).join('')}</tr>`).join('\n');
  return `<div class="wide"><table><caption>${bodyText(caption)}</caption><thead><tr>${head}</tr></thead><tbody>
${body}
</tbody></table></div>${note === '' ? '' : `<p class="soft">${bodyText(note)}</p>`}`;
}

/** Text between tags in which a number stays on one line with its unit. */
function bodyText(text: string): string {
  return escapeText(unbroken(text));
}

/** Returns text as a string of CSS that can end neither itself nor the style element. */
function cssText(text: string): string {
  return `"${text.replace(/[^ \p{L}\p{N}.,:;()–—-]/gu, (sign) => `\\${(sign.codePointAt(0) ?? 0xfffd).toString(16)} `)}"`;
}

/** The first page has the text of the local policy in itself, which a browser without boxes in the margin prints too: its box stays empty. */
function styleOf({ paper, isDense, header }: ReportDocument): string {
  const size = isDense ? '6.9pt' : '9pt';
  return `
@page{size:${paper} portrait;margin:13mm 13mm 15mm;@top-center{content:${cssText(header)};font:700 7.5pt sans-serif}@bottom-right{content:counter(page) " of " counter(pages);font:7.5pt sans-serif}}
@page :first{@top-center{content:none}}
*{box-sizing:border-box}
body{margin:0 auto;padding:1.5rem;max-width:${isDense ? '62rem' : '56rem'};font:${isDense ? '0.82rem' : '0.95rem'}/1.4 'DejaVu Sans Condensed','Segoe UI',Roboto,'Helvetica Neue',Arial,sans-serif;color:${INKS.ink};background:#fff}
h1{font-size:1.55em;margin:0 0 .1em}h2{font-size:1.2em;margin:1.3em 0 .35em;break-after:avoid}h3{font-size:1em;margin:1em 0 .25em;break-after:avoid}
p{margin:.35em 0}.subtitle{color:${INKS.soft};margin:0 0 .8em}.soft{color:${INKS.soft};font-size:.9em}.lead{font-size:1.06em}
.policy{text-align:center;font-weight:700;border:1px solid ${INKS.rule};padding:.25em .6em;margin:0 0 1em}
dl{margin:.4em 0}dl div{display:flex;gap:.8em}dt{flex:0 0 10.5em;color:${INKS.soft}}dd{margin:0}
.wide{overflow-x:auto}table{border-collapse:collapse;min-width:45%;margin:.6em 0;font-variant-numeric:tabular-nums}caption{text-align:left;font-weight:700;padding-bottom:.25em}
th,td{text-align:left;vertical-align:top;padding:.18em 1em .18em 0;border-bottom:1px solid ${INKS.faint}}thead th{border-bottom:1px solid ${INKS.rule};color:${INKS.soft};font-weight:700;vertical-align:bottom}tbody th{font-weight:400}
.end{text-align:right}tr{break-inside:avoid}thead{display:table-header-group}
figure{margin:.8em 0;break-inside:avoid}svg{display:block;width:100%;height:auto}figcaption{color:${INKS.soft};font-size:.9em;margin-top:.2em}
ul,ol{margin:.4em 0;padding-left:1.6em}li{margin:.12em 0}
footer,.foot{margin-top:1.4em;border-top:1px solid ${INKS.rule};padding-top:.3em;color:${INKS.soft};font-size:.85em}
.sheet+.sheet{margin-top:3em;break-before:page}
@media print{body{padding:0;max-width:none;font-size:${size};line-height:1.25}${isDense ? 'h2{margin:.7em 0 .2em}figure{margin:.3em 0}table{margin:.3em 0;font-size:.93em}p{margin:.2em 0}th,td{padding:.04em .7em .04em 0}.policy{margin:0 0 .4em;padding:.1em}.subtitle{margin:0 0 .3em}footer{margin-top:.5em}' : ''}.wide{overflow:visible}nav{display:none}.sheet+.sheet{margin-top:0}caption{break-inside:avoid;break-after:avoid}tbody tr:first-child,.wide+.soft{break-before:avoid}p:has(+figure){break-after:avoid}}
@media (prefers-color-scheme:dark){:root{color-scheme:light}}
`.trim();
}
