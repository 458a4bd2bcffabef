import { describe, expect, it } from 'vitest';
import { createProgressDisplay } from '../../../../electron/headless/progress-display.ts';

function streamOf(terminal: { isTTY?: boolean; columns?: number }): { write: (text: string) => boolean; text: () => string } {
  let text = '';
  return {
    ...terminal,
    write: (part: string) => {
      text += part;
      return true;
    },
    text: () => text,
  };
}

describe('the progress display', () => {
  it('writes one plain line per ten per cent where there is no terminal', () => {
    const stream = streamOf({});
    const display = createProgressDisplay(stream);
    for (let done = 0; done <= 100; done += 1) display.show('reading', done, 100);
    expect(stream.text().split('\n')).toEqual(['reading 0 %', 'reading 10 %', 'reading 20 %', 'reading 30 %', 'reading 40 %', 'reading 50 %', 'reading 60 %', 'reading 70 %', 'reading 80 %', 'reading 90 %', 'reading 100 %', '']);
  });

  it('draws a bar on a terminal, no wider than it, and takes it away before a line and at the end', () => {
    const stream = streamOf({ isTTY: true, columns: 30 });
    const display = createProgressDisplay(stream);
    display.show('reading', 1, 2);
    display.say('a line');
    display.show('reading', 2, 2);
    display.end();
    const bar = 'reading    [############';
    expect(stream.text().startsWith(`\r${bar}`)).toBe(true);
    expect(stream.text()).toContain('\r\u001B[Ka line\n');
    expect(stream.text().endsWith('\r\u001B[K')).toBe(true);
    for (const drawn of stream.text().split('\r')) expect(drawn.replace('\u001B[K', '').split('\n')[0]?.length ?? 0).toBeLessThan(30);
  });

  it('calls nothing to do done', () => {
    const stream = streamOf({});
    createProgressDisplay(stream).show('reading', 0, 0);
    expect(stream.text()).toBe('reading 100 %\n');
  });
});
