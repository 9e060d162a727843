// Changing the box: sliders for the params with a live verdict, and the design file
// with its mistakes on their lines. Nothing is written before it is asked for.
import { defaultKeymap, history, historyKeymap, indentWithTab, redo, undo } from "@codemirror/commands";
import { python } from "@codemirror/lang-python";
import { bracketMatching, HighlightStyle, indentUnit, syntaxHighlighting } from "@codemirror/language";
import { type Diagnostic, lintGutter, setDiagnostics } from "@codemirror/lint";
import { EditorState } from "@codemirror/state";
import { drawSelection, EditorView, keymap, lineNumbers } from "@codemirror/view";
import { tags } from "@lezer/highlight";
import { ask, Refused } from "./ask";
import { el, fill, find, round } from "./dom";
import { Draft } from "./draft";
import { Effect } from "./effect";
import { button } from "./hand";
import type { Checked, Problem, Proof, ParamValue, Stage, TextOnly, Trouble, WireEvent, WireText } from "./wire";

export interface Maker {
  /** prove asks for a proof with these values. */
  prove(set: ParamValue[]): void;
  /** stale tells that the answer that is shown no longer holds. */
  stale(): void;
  design(): string;
  tab(): string;
}

export class Change {
  private set = new Map<string, number>();
  private undone: Map<string, number>[] = []; // what was set before each change
  private redone: Map<string, number>[] = []; // what was taken back
  private editor: EditorView | null = null;
  private saved: WireText | null = null; // what the file held when it was last read or written here
  private before: string | null = null; // what it held before the last save
  private readonly effect: Effect;
  private timer = 0;
  private checking = 0;
  private signature = "";
  private draft = new Draft("");

  constructor(private readonly maker: Maker) {
    this.effect = new Effect(() => maker.tab());
    const s = find("change");
    fill(s,
      el("h2", { id: "change-title" }, "Change"),
      el("div", { id: "params" }), el("div", { id: "compare" }),
      el("h3", { id: "design-title" }, "The design file"),
      el("p", { id: "file-state", role: "status" }),
      el("div", { id: "editor", role: "group", "aria-labelledby": "design-title" }),
      el("ul", { id: "mistakes", tabindex: "-1", "aria-label": "Mistakes in the design" }),
      el("div", { class: "row" },
        button("save", "Save and prove", () => void this.save()),
        button("undo", "Undo", () => { if (this.editor) undo(this.editor); }),
        button("redo", "Redo", () => { if (this.editor) redo(this.editor); }),
        button("unsave", "Take back the last save", () => void this.unsave(), true)),
      el("p", { class: "soft" }, "Ctrl+S saves. Tab indents; press Escape and then Tab to leave the text."),
      el("details", { id: "another" }, el("summary", {}, "Begin another design")));
    s.setAttribute("aria-labelledby", "change-title");
    s.hidden = false;
    window.addEventListener("beforeunload", (e) => { if (this.dirty()) e.preventDefault(); });
  }

  /** forget drops what is set; false if nothing is. */
  forget(): boolean {
    if (this.set.size === 0) return false;
    this.set.clear();
    this.draft.keep([]);
    return true;
  }

  settings(): ParamValue[] {
    return [...this.set].map(([name, value]) => ({ name, value }));
  }

  /** open reads the design file into the editor; what this tab had typed and set before it was loaded anew is there again. */
  async open(folder: string): Promise<void> {
    this.draft = new Draft(`${folder}/${this.maker.design()}`);
    this.set = new Map(this.draft.set().map((p) => [p.name, p.value]));
    this.undone = [];
    this.redone = [];
    this.effect.begin();
    const typed = this.draft.text();
    const t = await ask<WireText>("GET", this.path());
    this.take(t);
    if (!typed || typed.text === t.text.replaceAll("\r\n", "\n")) return;
    this.write(typed.text);
    if (typed.sha256 !== t.sha256) {
      this.saved = { ...t, sha256: typed.sha256 };
      this.clash({ code: "newer", message: "", problems: [], text: t.text, sha256: t.sha256 });
    } else this.state("What was typed before the page was loaded anew is here again, not saved yet. ", button("drop-draft", "Drop it", () => this.take(t)));
  }

  private path(): string {
    return `/api/designs/${encodeURIComponent(this.maker.design())}`;
  }

  private take(t: WireText): void {
    this.saved = t;
    this.write(t.text);
    this.state("");
    this.draft.typed(null);
  }

  private write(text: string): void {
    if (!this.editor) {
      this.editor = this.make(text);
      return;
    }
    const old = this.editor.state.doc.toString();
    if (old === text) return;
    // replace only what differs, so that the cursor and the undo history keep their places
    let a = 0;
    while (a < old.length && a < text.length && old[a] === text[a]) a++;
    let b = 0;
    while (b < old.length - a && b < text.length - a && old[old.length - 1 - b] === text[text.length - 1 - b]) b++;
    this.editor.dispatch({ changes: { from: a, to: old.length - b, insert: text.slice(a, text.length - b) } });
  }

  private make(text: string): EditorView {
    const style = HighlightStyle.define([
      { tag: tags.comment, class: "t-comment" }, { tag: tags.string, class: "t-string" }, { tag: tags.number, class: "t-number" },
      { tag: tags.keyword, class: "t-word" }, { tag: tags.function(tags.variableName), class: "t-call" },
    ]);
    const nonce = document.querySelector<HTMLMetaElement>('meta[name="nonce"]')?.content ?? "";
    return new EditorView({
      parent: find("editor"),
      state: EditorState.create({
        doc: text,
        extensions: [
          EditorView.cspNonce.of(nonce), lineNumbers(), history(), drawSelection(), bracketMatching(), indentUnit.of("    "), python(), lintGutter(),
          syntaxHighlighting(style), EditorView.lineWrapping, EditorView.contentAttributes.of({ "aria-label": "Text of the design", tabindex: "0" }),
          keymap.of([{ key: "Mod-s", run: () => { void this.save(); return true; } }, indentWithTab, ...defaultKeymap, ...historyKeymap]),
          EditorView.updateListener.of((u) => { if (u.docChanged) this.edited(); }),
        ],
      }),
    });
  }

  private text(): string {
    return this.editor?.state.doc.toString() ?? "";
  }

  private dirty(): boolean {
    return !!this.saved && this.text() !== this.saved.text.replaceAll("\r\n", "\n");
  }

  private state(words: string, ...more: HTMLElement[]): void {
    fill(find("file-state"), words || (this.dirty() ? `${this.maker.design()}: changed here, not saved yet.` : `${this.maker.design()}: as it is on the disk.`), ...more);
  }

  private edited(): void {
    this.state("");
    this.draft.typed(this.dirty() ? { text: this.text(), sha256: this.saved?.sha256 ?? "" } : null);
    clearTimeout(this.checking);
    this.checking = window.setTimeout(() => void this.check(), 300);
  }

  private async check(): Promise<void> {
    const text = this.text();
    try {
      const c = await ask<Checked>("POST", `${this.path()}/check`, { text } satisfies TextOnly);
      if (text === this.text()) this.mistakes(c.problems);
    } catch (e) {
      if (e instanceof Refused) this.state(e.message);
      else if (!(e instanceof TypeError)) throw e; // the program is shut; the text is looked at again when it is saved
    }
  }

  /** mistakes puts problems on their lines and lists them below. */
  mistakes(problems: Problem[]): void {
    const v = this.editor;
    const name = this.maker.design();
    const own = problems.filter((p) => p.file === name || p.file === "");
    if (v) {
      const ds: Diagnostic[] = own.filter((p) => p.line > 0 && p.line <= v.state.doc.lines).map((p) => {
        const line = v.state.doc.line(p.line);
        const from = Math.min(line.to, line.from + Math.max(0, p.col - 1));
        return { from, to: line.to > from ? line.to : from, severity: "error", message: p.message + (p.advice ? `; ${p.advice}` : "") };
      });
      v.dispatch(setDiagnostics(v.state, ds));
    }
    fill(find("mistakes"), ...problems.map((p) => el("li", {},
      p.line > 0 && p.file === name
        ? el("button", { type: "button", class: "link", click: () => this.go(p.line) }, `line ${p.line}`)
        : p.line > 0 ? `${p.file}, line ${p.line}` : p.file,
      `: ${p.message}${p.advice ? `; ${p.advice}` : ""}`)));
  }

  /** toMistakes goes to the list of them. */
  toMistakes(): void {
    const list = find("mistakes");
    list.scrollIntoView({ block: "center" });
    (list.querySelector("button") ?? list).focus();
  }

  private go(line: number): void {
    const v = this.editor;
    if (!v || line > v.state.doc.lines) return;
    v.dispatch({ selection: { anchor: v.state.doc.line(line).from }, scrollIntoView: true });
    v.focus();
  }

  private async save(over?: string): Promise<void> {
    const was = this.saved;
    if (!was) return;
    const sent = this.text();
    try {
      const t = await ask<WireText>("PUT", this.path(), { text: sent, sha256: over ?? was.sha256 });
      this.before = was.text;
      find<HTMLButtonElement>("unsave").disabled = false;
      this.saved = t;
      this.state(this.text() === sent ? "" : "Saved; what was typed since is not.");
      this.draft.typed(this.dirty() ? { text: this.text(), sha256: t.sha256 } : null);
      this.maker.prove(this.settings());
    } catch (e) {
      if (e instanceof TypeError) {
        this.state("The program does not answer, so nothing was written. The text stays here; save again when it is back.");
        return;
      }
      if (!(e instanceof Refused)) throw e;
      if (e.trouble.code === "newer") this.clash(e.trouble);
      else this.state(e.message);
    }
  }

  /** clash: the file was changed elsewhere while it was changed here. */
  private clash(t: Trouble): void {
    this.state("The file was changed elsewhere too. Nothing was written. ",
      button("theirs", "Take the file's text", () => this.take({ design: this.maker.design(), text: t.text ?? "", sha256: t.sha256 ?? "" })),
      button("mine", "Write mine over it", () => void this.save(t.sha256)));
  }

  private async unsave(): Promise<void> {
    if (this.before === null) return;
    this.write(this.before);
    this.before = null;
    find<HTMLButtonElement>("unsave").disabled = true;
    await this.save();
  }

  /** holds tells whether the page has read, or written, the text with the hash. */
  holds(sha: string): boolean {
    return sha === this.saved?.sha256;
  }

  /** seen: the file changed on the disk. True if the page follows it. */
  async seen(sha: string): Promise<boolean> {
    if (this.holds(sha)) return false;
    if (sha === "") {
      this.state("The file is gone from the disk; saving is not possible.");
      return false;
    }
    const t = await ask<WireText>("GET", this.path());
    if (t.sha256 === this.saved?.sha256) return false;
    if (this.dirty() && this.text() !== t.text.replaceAll("\r\n", "\n")) {
      this.clash({ code: "newer", message: "", problems: [], text: t.text, sha256: t.sha256 });
      return false;
    }
    this.take(t);
    this.state(`${this.maker.design()}: changed by another program, read again.`);
    return true;
  }

  /** stage shows the params; sliders in use are not made anew. */
  stage(s: Stage): void {
    this.mistakes([]);
    const sign = s.params.map((p) => `${p.name} ${p.min} ${p.max} ${p.unit} ${p.default}`).join("|") + s.design;
    if (sign === this.signature) {
      this.values(s);
      return;
    }
    this.signature = sign;
    const rows = s.params.map((p, i) => {
      const id = `param-${i}`;
      const lo = p.min ?? Math.min(0, p.default * 2 - 1);
      const hi = p.max ?? Math.max(1, p.default * 2 + 1);
      const step = (hi - lo) / 200 >= 0.05 ? 0.1 : 0.01;
      const num = el("input", { type: "number", id: `${id}-n`, min: lo, max: hi, step: "any", value: p.value, "aria-label": `${p.name}, ${p.unit}`, change: (e: Event) => this.put(p.name, Number((e.target as HTMLInputElement).value)) });
      const slide = el("input", { type: "range", id, min: lo, max: hi, step, value: p.value, "aria-describedby": `${id}-note`, input: (e: Event) => this.put(p.name, Number((e.target as HTMLInputElement).value)) });
      return el("div", { class: "param" }, el("label", { for: id }, p.name), slide, el("span", { class: "row" }, num, p.unit), el("span", { class: "soft", id: `${id}-note` }, p.note));
    });
    fill(find("params"),
      el("h3", {}, "Params"),
      rows.length === 0 ? el("p", {}, "This design has no params.") : null, ...rows,
      rows.length > 0 ? el("div", { class: "row" },
        button("param-undo", "Undo the last change", () => this.back(this.undone, this.redone), this.undone.length === 0),
        button("param-redo", "Redo", () => this.back(this.redone, this.undone), this.redone.length === 0),
        button("param-file", "As in the file", () => { this.remember(); this.set.clear(); this.run(0); }),
        button("param-write", "Write into the design", () => void this.writeParams())) : null);
    this.values(s);
  }

  /** focus goes to the slider of a param. */
  focus(name: string): void {
    const i = this.latest?.params.findIndex((p) => p.name === name) ?? -1;
    const e = document.getElementById(`param-${i}`);
    e?.scrollIntoView({ block: "center" });
    e?.focus();
  }

  private values(s: Stage): void {
    s.params.forEach((p, i) => {
      const v = this.set.get(p.name) ?? p.value;
      for (const id of [`param-${i}`, `param-${i}-n`]) {
        const e = document.getElementById(id) as HTMLInputElement | null;
        if (e) e.value = String(Number(round(v, 4)));
      }
    });
    this.latest = s;
  }
  private latest: Stage | null = null;

  private remember(): void {
    this.undone.push(new Map(this.set));
    this.redone = [];
    if (this.undone.length > 100) this.undone.shift();
    this.steps();
  }

  /** steps says whether there is anything to undo or redo. */
  private steps(): void {
    for (const [id, list] of [["param-undo", this.undone], ["param-redo", this.redone]] as const) {
      const b = document.getElementById(id) as HTMLButtonElement | null;
      if (b) b.disabled = list.length === 0;
    }
  }

  private put(name: string, value: number): void {
    if (!Number.isFinite(value)) return;
    if (this.timer === 0) this.remember();
    this.set.set(name, value);
    this.maker.stale();
    this.run(180);
  }

  /** back takes the last state off one list and keeps the present one on the other. */
  private back(from: Map<string, number>[], to: Map<string, number>[]): void {
    const s = from.pop();
    if (!s) return;
    to.push(new Map(this.set));
    this.set = s;
    this.steps();
    this.run(0);
  }

  private run(ms: number): void {
    if (this.latest) this.values(this.latest);
    clearTimeout(this.timer);
    this.timer = window.setTimeout(() => {
      this.timer = 0;
      if (this.latest) {
        for (const p of this.latest.params) if (this.set.get(p.name) === p.default) this.set.delete(p.name);
      }
      this.draft.keep(this.settings());
      this.maker.prove(this.settings());
      if (this.latest) for (const [i, p] of this.latest.params.entries()) this.show(i, this.set.get(p.name) ?? p.default);
    }, ms);
  }

  private show(i: number, v: number): void {
    for (const id of [`param-${i}`, `param-${i}-n`]) {
      const e = document.getElementById(id) as HTMLInputElement | null;
      if (e && document.activeElement !== e) e.value = String(Number(round(v, 4)));
    }
  }

  private async writeParams(): Promise<void> {
    if (this.set.size === 0) return;
    try {
      const t = await ask<TextOnly>("POST", `${this.path()}/set`, { text: this.text(), set: this.settings() });
      this.write(t.text);
      this.set.clear();
      this.draft.keep([]);
      await this.save();
    } catch (e) {
      if (e instanceof Refused) this.state(e.message);
      else throw e;
    }
  }

  /** proved tells what the change did, against the proof that the page began with. */
  proved(p: Proof): void {
    void this.effect.proved(p);
  }

  /** begun takes the first verdict for what the page began with. */
  begun(p: Proof): void {
    this.effect.begun(p);
  }

  /** printers are those whose yield can be asked. */
  printers(names: string[], meant: string): void {
    this.effect.printers = names;
    this.effect.mean(meant);
  }

  /** foretold shows how far the foretelling of prints is. */
  foretold(e: WireEvent): void {
    this.effect.progress(e);
  }
}
