/**
 * Runs in the page: what a measure of it finds that an eye should look at, as lines; texts cut off, over each other, too small, beyond
 * the window, in lines too long to read, fields that hide what they hold. A finding is a hint, not a verdict: what scrolls on purpose
 * stands in it too. Nothing outside the function is at hand there.
 */
export function findingsOnScreen(): string[] {
  const SMALLEST_TEXT_PX = 11.5;
  const LONGEST_LINE_LETTERS = 115;
  const WIDEST_FIELD_PX = 900;
  const LOWEST_BUTTON_PX = 18;
  const [windowWidth, windowHeight] = [innerWidth, innerHeight];
  const found: string[] = [];
  const shortened = (text: string, length: number): string => text.trim().replace(/\s+/g, ' ').slice(0, length);
  const named = (element: Element): string => `${element.tagName.toLowerCase()}.${(element.getAttribute('class') ?? '').split(/\s+/).slice(0, 2).join('.')} “${shortened(element.textContent, 50)}”`;
  const top = document.querySelector('dialog[open]:not(.help-panel-beside)') ?? document.body;
  if (document.documentElement.scrollWidth > windowWidth + 1) found.push(`page wider than the window: ${document.documentElement.scrollWidth}`);
  if (document.documentElement.scrollHeight > windowHeight + 1) found.push(`page higher than the window: ${document.documentElement.scrollHeight}`);

  const isShown = (element: Element): boolean => {
    const { visibility, display, opacity } = getComputedStyle(element);
    const { width, height } = element.getBoundingClientRect();
    return visibility !== 'hidden' && display !== 'none' && Number(opacity) > 0 && width > 1 && height > 1 && element.closest('.visually-hidden,.library-words,.spoken-where-narrow') === null;
  };

  const texts: { readonly element: Element; readonly box: DOMRect }[] = [];
  for (const element of top.querySelectorAll<HTMLElement>('*')) {
    if ((element.closest('svg') !== null && element.tagName !== 'svg') || !isShown(element)) continue;
    const style = getComputedStyle(element);
    const box = element.getBoundingClientRect();
    const isField = ['INPUT', 'SELECT', 'TEXTAREA'].includes(element.tagName);
    if (!isField && element.clientWidth > 0 && element.scrollWidth > element.clientWidth + 1) {
      const widths = `${element.scrollWidth} in ${element.clientWidth}`;
      const isCut = style.overflowX === 'hidden' || style.overflowX === 'clip';
      if (isCut && element.closest('.tl-root') === null) found.push(`cut off${style.textOverflow === 'ellipsis' ? (element.closest('[title]') === null ? ' without a title' : ', with a title') : ''}: ${named(element)} ${widths}`);
      else if (style.overflowX === 'auto' || style.overflowX === 'scroll') found.push(`scrolls sideways: ${named(element)} ${widths}`);
      else if (!isCut && style.display !== 'inline' && element.children.length === 0) found.push(`runs out of its box: ${named(element)} ${widths}`);
    }
    if (element instanceof HTMLInputElement && element.scrollWidth > element.clientWidth + 2) found.push(`field hides its end: ${element.getAttribute('aria-label') ?? element.id} “${element.value.slice(0, 60)}”`);
    if ((element.tagName === 'INPUT' || element.tagName === 'SELECT') && box.width > WIDEST_FIELD_PX) found.push(`very wide field: ${named(element)} ${Math.round(box.width)}`);
    if ([...element.childNodes].some(({ nodeType, textContent }) => nodeType === Node.TEXT_NODE && (textContent ?? '').trim() !== '')) {
      const sizePx = Number.parseFloat(style.fontSize);
      if (sizePx < SMALLEST_TEXT_PX && element.tagName !== 'OPTION') found.push(`small text, ${sizePx} px: ${named(element)}`);
      if (box.right > windowWidth + 1 && element.closest('.grid-scroll,.chart-place,.tl-root,.mapping-scroll,[style*=overflow]') === null) found.push(`beyond the right edge: ${named(element)} ${Math.round(box.right)}`);
      const words = document.createRange();
      words.selectNodeContents(element);
      const letters = Math.max(0, ...[...words.getClientRects()].map(({ width }) => width)) / (sizePx * 0.5);
      if (letters > LONGEST_LINE_LETTERS && element.textContent.length > LONGEST_LINE_LETTERS && element.closest('.tl-root') === null) found.push(`line of about ${Math.round(letters)} letters: ${named(element)}`);
      texts.push({ element, box });
    }
    if (element instanceof HTMLButtonElement && box.height < LOWEST_BUTTON_PX && style.display !== 'inline' && element.closest('.tl-root') === null && !element.classList.contains('figure-help')) found.push(`low button, ${Math.round(box.height)} px: ${named(element)}`);
    if ((element instanceof HTMLButtonElement || isField) && element.matches(':disabled') && element.title === '' && !element.hasAttribute('aria-describedby')) found.push(`not to be used, without a reason: ${named(element)}`);
  }

  const NEIGHBOURS = 60; // texts that lie over each other stand near each other in the page
  const isLaidOver = (element: Element): boolean => {
    for (let at: Element | null = element; at !== null; at = at.parentElement) if (['sticky', 'fixed', 'absolute'].includes(getComputedStyle(at).position)) return true;
    return false;
  };
  const flows = texts.filter(({ element, box }) => getComputedStyle(element).display !== 'inline' && element.closest('.tl-root') === null && box.top < windowHeight && box.bottom > 0 && box.left < windowWidth && !isLaidOver(element));
  flows.forEach((one, i) => {
    for (const other of flows.slice(i + 1, i + NEIGHBOURS)) {
      if (one.element.contains(other.element) || other.element.contains(one.element)) continue;
      const width = Math.min(one.box.right, other.box.right) - Math.max(one.box.left, other.box.left);
      const height = Math.min(one.box.bottom, other.box.bottom) - Math.max(one.box.top, other.box.top);
      if (width > 3 && height > 3) found.push(`over each other: ${named(one.element)} and ${named(other.element)}`);
    }
  });

  const counts = new Map<string, number>();
  for (const line of found) counts.set(line, (counts.get(line) ?? 0) + 1);
  return [...counts].map(([line, n]) => (n > 1 ? `${line}, ${n} times` : line));
}
