import type { Deck, DeckSlide } from '../../model/deck.ts';
import { INKS } from '../../model/report-document.ts';
import { escapeText } from '../document/escape-text.ts';
import { blockHtml } from '../document/report-html.ts';
import { wordsScale } from './slide-layout.ts';

/**
 * The keys of the slides. It is the whole program in the file: it reads nothing, sends nothing and keeps nothing. Without it every
 * slide stands below the other and can be read and printed.
 */
const SCRIPT = `(function(){
var d=document,slides=[].slice.call(d.querySelectorAll('section')),at=0,show=false;
function place(){return d.getElementById('place')}
function draw(){d.body.className=show?'one':'';slides.forEach(function(s,i){s.hidden=show&&i!==at;});place().textContent=(at+1)+' / '+slides.length;if(show){scrollTo(0,0);}else{slides[at].scrollIntoView();}slides[at].focus({preventScroll:true});}
function go(to){at=Math.max(0,Math.min(slides.length-1,to));draw();}
d.getElementById('keys').hidden=false;
d.getElementById('back').onclick=function(){go(at-1)};
d.getElementById('next').onclick=function(){go(at+1)};
d.getElementById('all').onclick=function(){show=!show;draw();};
d.addEventListener('keydown',function(e){
if(e.ctrlKey||e.altKey||e.metaKey)return;
var onButton=e.target.tagName==='BUTTON'&&(e.key===' '||e.key==='Enter');if(onButton)return;
if(['ArrowRight','PageDown',' '].indexOf(e.key)>=0){e.preventDefault();go(at+1);}
else if(['ArrowLeft','PageUp'].indexOf(e.key)>=0){e.preventDefault();go(at-1);}
else if(e.key==='Home'){e.preventDefault();go(0);}
else if(e.key==='End'){e.preventDefault();go(slides.length-1);}
else if(e.key==='Escape'){show=!show;draw();}
});
addEventListener('beforeprint',function(){slides.forEach(function(s){s.hidden=false;});});
addEventListener('afterprint',draw);
if(slides.length>0){show=true;draw();}
})();`;

/** Words of the file itself, beside those of the slides. */
const KEYS_TEXT = 'Right and left arrow: next and previous slide. Home, End: first and last. Escape: all slides, one below the other.';

/**
 * Returns slides as one HTML file: no font, picture or style from elsewhere, a policy that forbids every network access, and one
 * script for the keys, which that policy names by its digest.
 * Shape   the same deck gives the same text. `digestOf` gives the SHA-256 of a text in base 64.
 */
export function deckHtml(deck: Deck, digestOf: (text: string) => string): string {
  const { title, language, header, footer, slides } = deck;
  return `<!doctype html>
<html lang="${language}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-${digestOf(SCRIPT)}'; base-uri 'none'; form-action 'none'">
<meta name="robots" content="noindex">
<title>${escapeText(title)}</title>
<style>${STYLE}</style>
</head>
<body>
<main>
${slides.map((slide, i) => slideHtml(slide, i, { header, footer, count: slides.length })).join('\n')}
</main>
<nav id="keys" hidden aria-label="Slides"><button id="back" type="button">Previous</button><span id="place" role="status"></span><button id="next" type="button">Next</button><button id="all" type="button">All slides or one</button><span class="keys">${escapeText(KEYS_TEXT)}</span></nav>
<script>${SCRIPT}</script>
</body>
</html>
`;
}

function slideHtml({ part, title, blocks, notes }: DeckSlide, i: number, { header, footer, count }: { readonly header: string; readonly footer: string; readonly count: number }): string {
  const level = i === 0 ? 'h1' : 'h2';
  const larger = wordsScale(blocks);
  return `<section tabindex="-1" aria-labelledby="s${i + 1}">
${header === '' ? '' : `<p class="policy">${escapeText(header)}</p>\n`}${part === '' ? '' : `<p class="part">${escapeText(part)}</p>\n`}<${level} id="s${i + 1}" class="title">${escapeText(title)}</${level}>
<div class="body"${larger === 1 ? '' : ` style="font-size:${larger}em"`}>
${blocks.map(blockHtml).join('\n')}
</div>${notes === '' ? '' : `\n<aside><strong>Notes.</strong> ${escapeText(notes)}</aside>`}
<footer><span>${escapeText(footer)}</span><span>${i + 1} of ${count}</span></footer>
</section>`;
}

const STYLE = `
@page{size:13.333in 7.5in;margin:0}
*{box-sizing:border-box}
:root{color-scheme:light}
body{margin:0;background:#d9dde0;color:${INKS.ink};font:1.05rem/1.4 'DejaVu Sans Condensed','Segoe UI',Roboto,'Helvetica Neue',Arial,sans-serif}
section{background:#fff;margin:1rem auto;padding:.8rem 2.2rem .6rem;max-width:min(96rem,98vw);min-height:20rem;display:flex;flex-direction:column;outline:none}
section[hidden]{display:none}
body.one section{margin:0 auto;min-height:calc(100vh - 3rem);max-width:none;font-size:clamp(1rem,1.55vw,4.5rem)}
.policy{text-align:center;font-weight:700;font-size:.8em;margin:0 0 .3em}.part{color:${INKS.soft};margin:0;font-size:.85em}
.title{font-size:1.75em;line-height:1.15;margin:.05em 0 .4em}h3{margin:.4em 0}
.body{flex:1}.body p{margin:.4em 0;white-space:pre-line}.soft{color:${INKS.soft};font-size:.8em}.lead{font-size:1.2em}.short{white-space:nowrap}
dl{margin:.4em 0;font-size:.82em}dl div{display:flex;gap:.8em;margin:.2em 0}dt{flex:0 0 12em;color:${INKS.soft}}dd{margin:0;overflow-wrap:anywhere}
.wide{overflow-x:auto}table{border-collapse:collapse;margin:.5em 0;font-size:.82em;font-variant-numeric:tabular-nums}caption{text-align:left;font-weight:700;padding-bottom:.25em}
th,td{text-align:left;vertical-align:top;padding:.25em 1.1em .25em 0;border-bottom:1px solid ${INKS.faint}}thead th{border-bottom:1px solid ${INKS.rule};color:${INKS.soft};vertical-align:bottom}tbody th{font-weight:400;white-space:nowrap}.end{text-align:right}
figure{margin:.3em 0}figure svg{display:block;width:100%;height:auto;max-height:62vh}figcaption{color:${INKS.soft};font-size:.72em}
ul,ol{margin:.3em 0;padding-left:1.4em}li{margin:.25em 0;font-size:.9em}
aside{border-left:4px solid ${INKS.rule};padding:.2em .8em;margin:.6em 0;white-space:pre-line;font-size:.85em}
section footer{display:flex;justify-content:space-between;gap:1em;border-top:1px solid ${INKS.rule};padding-top:.25em;color:${INKS.soft};font-size:.7em}
nav{position:sticky;bottom:0;background:#fff;border-top:1px solid ${INKS.rule};padding:.4rem 1rem;display:flex;flex-wrap:wrap;gap:.8rem;align-items:center;font-size:.9rem;min-height:3rem}nav[hidden]{display:none}
button{font:inherit;color:${INKS.ink};background:#fff;border:1px solid ${INKS.soft};border-radius:4px;padding:.2rem .8rem;min-height:2rem}button:focus-visible{outline:3px solid ${INKS.finger};outline-offset:-3px}.keys{color:${INKS.soft}}
@media print{body{background:#fff}nav{display:none}section,body.one section{margin:0;padding:.3in .5in;width:13.333in;min-height:7.49in;max-width:none;break-after:page;font-size:14pt}section:last-of-type{break-after:auto}figure svg{max-height:3.9in}section:has(aside) figure svg{max-height:3.6in}dl div{margin:.1em 0}dt{flex-basis:12em}.wide{overflow:visible}}
`.trim();
