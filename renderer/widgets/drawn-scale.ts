/**
 * Returns how much larger the page draws an element than it is laid out (CSS zoom), 1 while it has no size.
 * A pointer's place and `getBoundingClientRect` are in drawn px; divided by this they are in the px that styles are written in.
 */
export function drawnScale(element: HTMLElement): number {
  return element.offsetWidth > 0 ? element.getBoundingClientRect().width / element.offsetWidth : 1;
}
