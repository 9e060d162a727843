// Small helpers to build the page. Words always go in as text.

type Child = Node | string | null | undefined | false;

/** el makes an element; attributes set to null or false are left out. */
export function el<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  attrs: Record<string, string | number | boolean | null | ((e: never) => void)> = {},
  ...children: Child[]
): HTMLElementTagNameMap[K] {
  const e = document.createElement(tag);
  for (const [k, v] of Object.entries(attrs)) {
    if (typeof v === "function") e.addEventListener(k, v as EventListener);
    else if (v === true) e.setAttribute(k, "");
    else if (v !== null && v !== false) e.setAttribute(k, String(v));
  }
  for (const c of children) if (c !== null && c !== undefined && c !== false) e.append(c);
  return e;
}

/** find gives an element of the page that must be there. */
export function find<T extends HTMLElement = HTMLElement>(id: string): T {
  const e = document.getElementById(id);
  if (!e) throw new Error(`no element ${id}`);
  return e as T;
}

/** fill replaces what an element holds. */
export function fill(e: Element, ...children: Child[]): void {
  e.replaceChildren(...children.filter((c): c is Node | string => c !== null && c !== undefined && c !== false));
}

/** drawing turns the text of a drawing into an element. */
export function drawing(text: string): SVGElement | null {
  const s = new DOMParser().parseFromString(text, "text/html").querySelector("svg");
  return s ? document.adoptNode(s) : null;
}

/** table makes a table with a caption and named columns. */
export function table(caption: string, heads: string[], rows: (string | Node)[][]): HTMLElement {
  const t = el("table", {}, el("caption", {}, caption));
  t.append(el("thead", {}, el("tr", {}, ...heads.map((h) => el("th", { scope: "col" }, h || el("span", { class: "hush" }, "what can be done"))))));
  t.append(
    el("tbody", {}, ...rows.map((r) => el("tr", {}, ...r.map((c, i) => (i === 0 ? el("th", { scope: "row" }, c) : el("td", {}, c)))))),
  );
  return el("div", { class: "wide", role: "group", "aria-label": caption }, t);
}

/** svg makes an element of a drawing. */
export function svg(tag: string, attrs: Record<string, string | number>, ...children: (Node | string)[]): SVGElement {
  const e = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [k, v] of Object.entries(attrs)) e.setAttribute(k, String(v));
  e.append(...children);
  return e;
}

/** round writes a number with so many decimals and no needless zeros. */
export function round(v: number, decimals = 2): string {
  const s = v.toFixed(decimals);
  return (s.includes(".") ? s.replace(/\.?0+$/, "") : s).replace(/^-0$/, "0");
}

/** when is a day and an hour that stay on one line each. */
export function when(at: string): HTMLElement {
  return el("span", {}, ...at.split(" ").flatMap((w, i) => [i > 0 ? " " : "", el("span", { class: "nowrap" }, w)]));
}

/** calm tells whether the person wants no motion on the page. */
export const calm = (): boolean => matchMedia("(prefers-reduced-motion: reduce)").matches;

/** options offers names in a select after a first choice; what is chosen stays chosen. */
export function options(s: HTMLSelectElement, first: string, names: string[]): void {
  const had = [...s.options].slice(1).map((o) => o.value);
  if (s.options.length > 0 && had.join("|") === names.join("|")) return;
  const chosen = s.value;
  fill(s, el("option", { value: "" }, first), ...names.map((n) => el("option", { value: n, selected: n === chosen }, n)));
}

let pressed: Node | null = null; // where the pointer is down
const later = new Map<string, () => void>();
addEventListener("pointerdown", (e) => { pressed = e.target as Node; }, true);
for (const kind of ["pointerup", "pointercancel"]) {
  addEventListener(kind, () => setTimeout(() => { // after the click that comes of it
    pressed = null;
    for (const [name, write] of [...later]) {
      later.delete(name);
      write();
    }
  }, 60), true);
}

/** unpressed writes into an element at once, or when the pointer that is down in it has been let go: a button that is written anew in between is not clicked. */
export function unpressed(name: string, into: Element, write: () => void): void {
  if (pressed && into.contains(pressed)) later.set(name, write);
  else write();
}
