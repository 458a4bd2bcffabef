/**
 * `npm run gallery`: draws every picture and compares it with the stored one.
 * `npm run gallery -- --show`: what differs, as text, and as a page with before, after and difference of each.
 * `npm run gallery -- --accept [NAME...]`: takes the changed pictures, or only those named. Say in the commit why they are right.
 */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, readdirSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';

const ROOT = join(import.meta.dirname, '..', '..');
const FOLDER = join(import.meta.dirname, 'pictures');
const LETTERS = join(FOLDER, 'letters.json');
const say = (line) => process.stdout.write(`${line}\n`);

const { values, positionals } = parseArgs({ options: { show: { type: 'boolean' }, accept: { type: 'boolean' }, help: { type: 'boolean', short: 'h' } }, allowPositionals: true });
const changed = () => readdirSync(FOLDER).filter((file) => file.endsWith('.changed.txt')).map((file) => file.slice(0, -'.changed.txt'.length)).sort();

if (values.help) say('npm run gallery [-- --show | --accept [NAME...]]\n  without options: draws every picture and compares it with the stored one\n  --show           what differs, as text and as a page\n  --accept         takes the changed pictures, or only those named');
else if (values.accept) accept();
else if (values.show) show();
else process.exitCode = spawnSync(process.execPath, [join(ROOT, 'node_modules/vitest/vitest.mjs'), 'run', '--project', 'gallery'], { cwd: ROOT, stdio: 'inherit' }).status ?? 1;

function accept() {
  const open = changed();
  const unknown = positionals.filter((name) => !open.includes(name));
  if (unknown.length > 0) {
    say(`No change of ${unknown.join(', ')} is waiting. Run \`npm run gallery\` first.`);
    process.exitCode = 1;
    return;
  }
  const taken = positionals.length > 0 ? positionals : open;
  const letters = existsSync(LETTERS) ? JSON.parse(readFileSync(LETTERS, 'utf8')) : {};
  for (const name of taken) {
    for (const ending of ['txt', 'png']) renameSync(join(FOLDER, `${name}.changed.${ending}`), join(FOLDER, `${name}.${ending}`));
    letters[name] = readFileSync(join(FOLDER, `${name}.changed.letters`), 'utf8');
    rmSync(join(FOLDER, `${name}.changed.letters`));
  }
  const kept = Object.keys(letters).filter((name) => existsSync(join(FOLDER, `${name}.txt`))).sort();
  writeFileSync(LETTERS, `${JSON.stringify(Object.fromEntries(kept.map((name) => [name, letters[name]])), null, 1)}\n`);
  say(taken.length === 0 ? 'No change is waiting.' : `Taken: ${taken.join(', ')}`);
}

function show() {
  const open = changed();
  if (open.length === 0) {
    say('No change is waiting.');
    return;
  }
  for (const name of open) {
    const before = join(FOLDER, `${name}.txt`);
    if (!existsSync(before)) say(`${name}: new`);
    else if (spawnSync('git', ['--no-pager', 'diff', '--no-index', '--no-color', '-U1', before, join(FOLDER, `${name}.changed.txt`)], { cwd: ROOT, stdio: 'inherit' }).status === 0) say(`${name}: the same geometry, other pixels`);
  }
  const picture = (file) => (existsSync(file) ? `data:image/png;base64,${readFileSync(file).toString('base64')}` : '');
  const sections = open.map((name) => {
    const [before, after] = [picture(join(FOLDER, `${name}.png`)), picture(join(FOLDER, `${name}.changed.png`))];
    return `<section><h2>${name}</h2><div class="row">${before === '' ? '<p>new</p>' : `<figure><figcaption>before</figcaption><img src="${before}" alt="before"></figure>`}<figure><figcaption>after</figcaption><img src="${after}" alt="after"></figure>${before === '' ? '' : `<figure><figcaption>difference: black where they are the same</figcaption><div class="apart"><img src="${before}" alt=""><img src="${after}" alt=""></div></figure>`}</div></section>`;
  });
  const out = join(ROOT, 'test-results', 'gallery.html');
  mkdirSync(join(ROOT, 'test-results'), { recursive: true });
  writeFileSync(out, `<!doctype html><html lang="en-GB"><meta charset="utf-8"><title>Changed pictures</title><style>body{font-family:sans-serif;background:#ddd}.row{display:flex;gap:12px;overflow:auto;align-items:start}figure{margin:0}.apart{position:relative;background:#000;isolation:isolate}.apart img+img{position:absolute;inset:0;mix-blend-mode:difference}</style>${sections.join('')}</html>\n`);
  say(`Before, after and difference of ${open.length}: test-results/gallery.html`);
}
