// What is wider than the sheet, as charts and tables on a phone, scrolls sideways and says so.

/** wides marks what scrolls sideways, now and when the sheet is written anew or the window changes; the stylesheet has the words. */
export function wides(sheet: HTMLElement): void {
  const mark = (e: Element) => e.toggleAttribute("data-scrolls", e.scrollWidth > e.clientWidth + 2);
  const sizes = new ResizeObserver((es) => es.forEach((e) => mark(e.target)));
  const known = new WeakSet<Element>();
  new MutationObserver(() => {
    for (const e of sheet.querySelectorAll(".wide")) {
      if (known.has(e)) mark(e);
      else sizes.observe(e);
      known.add(e);
    }
  }).observe(sheet, { childList: true, subtree: true });
}
