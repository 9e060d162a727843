// The workshop's memory: prints of this design and what came of them, readings, faults,
// standing checks, the tree of revisions; a line to note a print in half a minute, and
// everything to be put right later.
import { ask, Refused } from "./ask";
import { el, fill, find, options, table, unpressed, when } from "./dom";
import { folded } from "./figure";
import { button } from "./hand";
import { Printers } from "./printers";
import { Records } from "./records";
import type { BoundGiven, CheckRow, Done, FaultRow, GaugeRow, KeepAsked, Logged, ParamValue, Proof, RecordSet, RevisionKept, Stage, Stood, TrialRow, Workshop as Book } from "./wire";

const answers: Record<string, string> = { holds: "✓ holds", returns: "✕ the fault would come back", untold: "? not told", "": "not asked yet" };

export class Workshop {
  private stage: Stage | null = null;
  private proof = "";
  private deed = 0;
  private said: string[] = [];
  private readonly records = new Records((words, deed) => { this.said = [words]; this.deed = deed; void this.read(); });
  private readonly printers = new Printers(() => this.path(), () => this.set(), (deed) => this.records.undo(deed), () => void this.read());

  design(s: Stage): void {
    const same = this.stage?.design === s.design;
    this.stage = s;
    this.proof = "";
    if (!same) void this.read();
  }

  /** proved asks the standing checks of the new proof. */
  proved(p: Proof): void {
    this.proof = p.id;
    void this.read();
  }

  /** found goes to the form for what a gauge shows. */
  found(g: GaugeRow): void {
    if (!document.getElementById("log-form")) {
      find("workshop").scrollIntoView();
      find("begin-log").focus();
      return;
    }
    this.printers.found(g);
  }

  private path(): string {
    return `/api/workshop/${encodeURIComponent(this.stage?.design ?? "")}`;
  }

  private set(): ParamValue[] {
    return (this.stage?.params ?? []).filter((p) => p.value !== p.default).map((p) => ({ name: p.name, value: p.value }));
  }

  /** read shows the logbook as it is now; what is being typed stays. */
  async read(): Promise<void> {
    if (!this.stage) return;
    try {
      this.show(await ask<Book>("GET", this.path() + (this.proof ? `?proof=${this.proof}` : "")));
    } catch (e) {
      if (e instanceof TypeError) return; // the program is shut: it is read again when it is back
      if (!(e instanceof Refused)) throw e;
      const s = find("workshop");
      s.hidden = false;
      s.setAttribute("aria-labelledby", "workshop-title");
      fill(s, el("h2", { id: "workshop-title" }, "Workshop"), el("p", { role: "alert", class: "wrong" }, e.message));
    }
  }

  private show(b: Book): void {
    const s = find("workshop");
    s.hidden = false;
    s.setAttribute("aria-labelledby", "workshop-title");
    const title = el("h2", { id: "workshop-title" }, "Workshop");
    if (!b.there) {
      fill(s, title, el("p", {}, "This workshop has no logbook yet. It keeps prints, readings, photos and faults in one file in the workshop folder."),
        button("begin-log", "Begin a logbook", () => void ask("POST", "/api/workshop", {}).then(() => this.read())));
      return;
    }
    this.records.choices = { printer: b.printers, nozzle: b.nozzles, spool: b.spools, profile: b.profiles, outcome: b.outcomes, felt: b.felts, kind: b.features, axis: ["", "x", "y", "z"] };
    if (!document.getElementById("log-form")) {
      fill(s, title, this.form(b), el("div", { id: "logged", role: "status" }), el("div", { id: "log-tables" }), el("div", { id: "record" }),
        this.keepForm(), this.addForm(), this.printers.section(b), this.historyFold());
    }
    this.names(b);
    this.printers.names(b);
    unpressed("log-tables", find("log-tables"), () => fill(find("log-tables"), ...this.tables(b)));
    this.standing(b.checks);
    this.tell();
    void this.printers.read();
    const past = find<HTMLDetailsElement>("log-history");
    if (past.open) void this.records.deeds(find("log-deeds"));
  }

  private form(b: Book): HTMLElement {
    const field = (id: string, words: string, attrs: Record<string, string>) => el("label", { class: "pick", for: id }, words, el("input", { id, ...attrs, input: () => this.compose() }));
    const choice = (id: string, words: string) => el("label", { class: "pick", for: id }, words, el("select", { id, change: () => this.compose() }));
    return el("form", { id: "log-form", submit: (e: Event) => { e.preventDefault(); void this.note(); } },
      el("h3", {}, "Note a print"),
      el("div", { class: "row" },
        field("log-min", "minutes ", { type: "number", min: "0", step: "1" }), field("log-grams", "grams ", { type: "number", min: "0", step: "any" }),
        el("label", { class: "pick", for: "log-outcome" }, "it ", el("select", { id: "log-outcome", change: () => this.compose() }, el("option", { value: "" }, "not known yet"), ...b.outcomes.map((o) => el("option", { value: o }, o)))),
        field("log-place", "where ", { type: "text", size: "10" })),
      el("div", { class: "row" }, choice("log-printer", "on "), choice("log-spool", "spool "),
        el("label", { class: "pick", for: "log-photo" }, "photo ", el("input", { type: "file", id: "log-photo", accept: "image/jpeg,image/png,image/gif" }))),
      el("label", { for: "log-line" }, "As a line, which can say more "), el("input", { type: "text", id: "log-line", class: "line", autocomplete: "off", "aria-describedby": "log-kept" }),
      el("div", { class: "row" }, el("button", { type: "submit", id: "log-send" }, "Note it"), el("span", { class: "soft", id: "log-kept" }, "Without minutes or grams it adds to the last print.")),
      el("details", {}, el("summary", {}, "What a line can say"), el("div", { class: "wide", role: "group", "aria-label": "What a line can say" }, el("pre", { id: "log-help" }, b.help))));
  }

  /** names offers the printers and spools that the logbook knows; what is chosen stays. */
  private names(b: Book): void {
    for (const [id, list] of [["log-printer", b.printers], ["log-spool", b.spools]] as const) options(find<HTMLSelectElement>(id), "as last time", list);
  }

  /** compose writes the line from the fields. */
  private compose(): void {
    const v = (id: string) => (document.getElementById(id) as HTMLInputElement | HTMLSelectElement | null)?.value.trim() ?? "";
    const out: string[] = [];
    if (v("log-min")) out.push(`${v("log-min")} min`);
    if (v("log-grams")) out.push(`${v("log-grams")} g`);
    if (v("log-outcome")) out.push(v("log-outcome") + (v("log-place") ? ` at ${v("log-place")}` : ""));
    if (v("log-printer")) out.push(`on ${v("log-printer")}`);
    if (v("log-spool")) out.push(`spool ${v("log-spool")}`);
    find<HTMLInputElement>("log-line").value = out.join(", ");
  }

  private async note(): Promise<void> {
    const line = find<HTMLInputElement>("log-line");
    const photo = find<HTMLInputElement>("log-photo");
    try {
      const l = await ask<Logged>("POST", `${this.path()}/lines`, { line: line.value, set: this.set() });
      this.said = l.words;
      this.deed = l.deed;
      const file = photo.files?.[0];
      if (file) this.said.push(await this.keep(l.fault > 0 ? "fault" : "trial", l.fault > 0 ? l.fault : l.trial, file));
      find<HTMLFormElement>("log-form").reset();
      await this.read();
    } catch (e) {
      this.said = [e instanceof Refused ? e.message : "The program does not answer, so nothing was noted. What is typed stays here; note it again when it is back."];
      this.deed = 0;
      const none = /^there is no (printer|spool|nozzle|profile) "([^"\\]+)"/.exec(this.said[0] ?? "");
      if (none) this.said = [`The logbook has no ${none[1]} "${none[2]}" yet${/; did you mean "[^"]*"\?/.exec(this.said[0] ?? "")?.[0] ?? "."} Nothing was noted.`];
      this.tell();
      if (none) document.getElementById("logged")?.append(button("log-add", `Add it and note the print`, () => void this.addFirst(none[1] ?? "", none[2] ?? "")));
      if (!(e instanceof Refused) && !(e instanceof TypeError)) throw e;
    }
  }

  /** addFirst adds what a line names and the logbook does not have, and notes the line then. */
  private async addFirst(kind: string, name: string): Promise<void> {
    try {
      await ask("POST", `/api/records/${kind}`, { set: [`name=${name}`] } satisfies RecordSet);
    } catch (e) {
      if (!(e instanceof Refused) && !(e instanceof TypeError)) throw e;
      this.said = [e instanceof Refused ? e.message : "The program does not answer, so nothing was added."];
      this.tell();
      return;
    }
    await this.note();
  }

  private tell(): void {
    const out = document.getElementById("logged");
    if (!out) return;
    const deed = this.deed;
    fill(out, ...this.said.map((w) => el("p", {}, w)),
      deed > 0 ? button("unlog", "Take that back", () => void this.records.undo(deed)) : null);
  }

  private tables(b: Book): HTMLElement[] {
    const out: HTMLElement[] = [];
    if (b.trials.length === 0) out.push(el("p", { class: "soft" }, "No print of this design is noted yet."));
    else out.push(filled("Prints, the newest first", ["Trial", "when", "revision", "with", "outcome", "time and mass", "noted", "photos", ""], b.trials.map((t) => this.trial(t))));
    if (b.readings.length > 0) {
      const t = table("Readings of these prints", ["Trial", "what", ""], b.readings.map((r) => [String(r.trial), r.words, this.records.edit("reading", r.id)]));
      out.push(b.readings.length < 8 ? t : folded(`Readings of these prints: ${b.readings.length}`, t));
    }
    if (b.solves.length > 0) out.push(table("Solves", ["When", "revision", "what", ""], b.solves.map((s) => [when(s.at), String(s.revision), s.words, this.records.edit("solve", s.id)])));
    if (b.faults.length > 0) {
      out.push(filled("Faults once seen", ["Fault", "when", "what", "cause and cure", "photos", "standing check", ""], b.faults.map((f) => this.fault(f))));
    }
    if (b.checks.length > 0) {
      out.push(table("Standing checks: what every later revision must keep", ["Check", "what", "of", "this revision", ""], b.checks.map((c) => [
        String(c.id), c.words, c.fault, c.rests ? "rests" : el("span", {}, el("b", {}, answers[c.answer] ?? c.answer), c.why ? `: ${c.why}` : ""), this.records.edit("check", c.id),
      ])));
    }
    if (b.revisions.length > 0) {
      out.push(filled("The tree of revisions, each with the question it was to answer", ["Revision", "made from", "when", "question", "what came of it", "photos", ""], b.revisions.map((r) => [
        el("span", { class: "branch" }, el("span", { "aria-hidden": "true" }, r.depth > 0 ? `${"  ".repeat(r.depth - 1)}└ ` : ""), String(r.number), r.here ? " (this one)" : ""),
        r.parent > 0 ? String(r.parent) : "", when(r.at), r.question, [r.words, r.note].filter((w) => w !== "").join("; "), this.photos("revision", r.id, r.photos), this.records.edit("revision", r.id),
      ])));
    }
    return out;
  }

  private trial(t: TrialRow): (string | Node)[] {
    const num = (v: number | null, unit: string) => (v === null ? "" : `${v} ${unit}`);
    return [String(t.id), when(t.at), String(t.revision), t.with, t.outcome || "not known yet", [num(t.minutes, "min"), num(t.grams, "g")].filter((w) => w).join(", "), t.words, this.photos("trial", t.id, t.photos), this.records.edit("trial", t.id)];
  }

  private fault(f: FaultRow): (string | Node)[] {
    const cure = [f.cause && `because of ${f.cause}`, f.cure && `cured by ${f.cure}`, f.cured_in > 0 && `gone in revision ${f.cured_in}`].filter((w) => w).join("; ");
    const id = `stand-${f.id}`;
    const stand = el("form", { class: "row", submit: (e: Event) => { e.preventDefault(); void this.stand(f.id, find<HTMLInputElement>(id).value); } },
      el("label", { for: id, class: "soft" }, f.rule ? `stands on ${f.rule}; also ` : "must hold "), el("input", { type: "text", id, size: "12", placeholder: f.words.startsWith("leaks") ? "leak by 0.03" : "bind by 0.03", autocomplete: "off" }),
      el("button", { type: "submit", class: "small", "aria-label": `Check always: fault ${f.id}` }, "Check always"));
    return [String(f.id), when(f.at), `${f.words} (revision ${f.revision})`, cure, this.photos("fault", f.id, f.photos), stand, this.records.edit("fault", f.id)];
  }

  private async stand(fault: number, bound: string): Promise<void> {
    const placeholder = find<HTMLInputElement>(`stand-${fault}`).placeholder;
    await this.doing(async () => {
      const s = await ask<Stood>("POST", `/api/faults/${fault}/stand`, { bound: bound.trim() || placeholder } satisfies BoundGiven);
      this.deed = s.deed;
      return s.words;
    });
  }

  /** standing says beside the verdict which old fault would come back. */
  private standing(checks: CheckRow[]): void {
    const old = document.getElementById("standing");
    const back = checks.filter((c) => !c.rests && c.answer === "returns");
    const words = back.map((c) => `An old fault would come back: ${c.fault || c.words}; ${c.why}.`);
    if (words.length === 0) {
      old?.remove();
      return;
    }
    const p = old ?? el("p", { id: "standing", class: "wrong" });
    fill(p, words.join(" "));
    if (!old) document.getElementById("verdict")?.append(p);
  }

  private photos(of: string, record: number, ids: number[]): HTMLElement {
    const id = `photo-of-${of}-${record}`;
    return el("span", {}, ...ids.map((p, i) => el("a", { href: `/api/photos/${p}/whole`, target: "_blank", rel: "noreferrer" }, el("img", { src: `/api/photos/${p}`, alt: `Photo ${i + 1} of ${of} ${record}`, class: "photo", loading: "lazy" }))),
      el("label", { for: id, class: "add" }, "Add ", el("span", { class: "hush" }, `a photo of ${of} ${record}`), el("input", {
        type: "file", id, class: "hush", accept: "image/jpeg,image/png,image/gif",
        change: (e: Event) => {
          const file = (e.target as HTMLInputElement).files?.[0];
          if (file) void this.doing(async () => [await this.keep(of, record, file)]);
        },
      })));
  }

  /** keep sends a photo and says what became of it. */
  private async keep(of: string, record: number, file: File): Promise<string> {
    const res = await fetch(`/api/photos/${of}/${record}`, { method: "POST", body: file, credentials: "same-origin" });
    return res.ok ? "The photo is kept." : `The photo is not kept: ${((await res.json()) as { message: string }).message}`;
  }

  /** doing does something to the logbook and tells what came of it. */
  private async doing(what: () => Promise<string[]>): Promise<void> {
    this.deed = 0;
    try {
      this.said = await what();
    } catch (e) {
      if (!(e instanceof Refused) && !(e instanceof TypeError)) throw e;
      this.said = [e instanceof Refused ? e.message : "The program does not answer, so nothing was done."];
    }
    await this.read();
    this.tell();
    find("logged").scrollIntoView({ block: "nearest" });
  }

  private keepForm(): HTMLElement {
    return el("form", { id: "keep-form", submit: (e: Event) => { e.preventDefault(); void this.keepRevision(); } },
      el("label", { for: "keep-question" }, "Keep this revision; what is it to answer? "),
      el("div", { class: "row" }, el("input", { type: "text", id: "keep-question", class: "question", autocomplete: "off", placeholder: "does a wider gap flow?" }), el("button", { type: "submit", id: "keep-send" }, "Keep it")));
  }

  private async keepRevision(): Promise<void> {
    const q = find<HTMLInputElement>("keep-question");
    await this.doing(async () => {
      if (!this.proof) return ["Wait until this revision is proved."];
      const k = await ask<RevisionKept>("POST", "/api/revisions", { proof: this.proof, question: q.value } satisfies KeepAsked);
      q.value = "";
      return [k.new ? `Revision ${k.number} is kept.` : `This is revision ${k.number}, which the logbook has already; its question is changed with Edit.`];
    });
  }

  private addForm(): HTMLElement {
    const kind = el("select", { id: "add-kind" }, ...["printer", "spool", "nozzle", "profile"].map((k) => el("option", { value: k }, k)));
    return el("details", {}, el("summary", {}, "Add a printer, spool, nozzle or profile"),
      el("form", { id: "add-form", class: "row", submit: (e: Event) => { e.preventDefault(); void this.add(); } },
        el("label", { class: "pick", for: "add-kind" }, "kind ", kind),
        el("label", { class: "pick", for: "add-name" }, "name ", el("input", { type: "text", id: "add-name", size: "14", autocomplete: "off" })),
        el("label", { class: "pick", for: "add-more" }, "more ", el("input", { type: "text", id: "add-more", size: "24", autocomplete: "off", placeholder: "bed_x=220, bed_y=220" })),
        el("button", { type: "submit", id: "add-send" }, "Add it")));
  }

  private async add(): Promise<void> {
    const kind = find<HTMLSelectElement>("add-kind").value;
    const name = find<HTMLInputElement>("add-name");
    const more = find<HTMLInputElement>("add-more");
    await this.doing(async () => {
      const set = [`name=${name.value}`, ...more.value.split(",").map((t) => t.trim()).filter((t) => t !== "")];
      const d = await ask<Done>("POST", `/api/records/${kind}`, { set } satisfies RecordSet);
      const words = `The ${kind} “${name.value}” is added.`;
      name.value = more.value = "";
      this.deed = d.deed;
      return [words];
    });
  }

  private historyFold(): HTMLElement {
    const d = el("details", { id: "log-history", toggle: () => { if (d.open) void this.records.deeds(find("log-deeds")); } },
      el("summary", {}, "What was done to the logbook"), el("div", { id: "log-deeds" }));
    return d;
  }
}

/** filled is a table without the columns in which nothing is said. */
function filled(caption: string, heads: string[], rows: (string | Node)[][]): HTMLElement {
  const some = heads.map((_, i) => rows.some((r) => r[i] !== ""));
  const t = table(caption, heads.filter((_, i) => some[i]), rows.map((r) => r.filter((_, i) => some[i])));
  t.querySelector("table")?.classList.add("log");
  return t;
}
