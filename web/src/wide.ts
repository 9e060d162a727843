// What is wider than the sheet, as charts and tables on a phone, scrolls sideways and says so.

/** wides marks what scrolls sideways, now and when the sheet is written anew or the window changes; the stylesheet has the words. Only what scrolls takes the focus of the keyboard. */
export function wides(sheet: HTMLElement): void {
  const mark = (e: Element) => {
    const wide = e.scrollWidth > e.clientWidth + 2;
    if (e.toggleAttribute("data-scrolls", wide)) e.setAttribute("tabindex", "0");
    else if (e !== document.activeElement) e.removeAttribute("tabindex");
  };
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
