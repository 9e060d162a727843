// The page of feint bench: a sheet that reads like a proof with the box beside it.
import type { BufferGeometry } from "three";
import { ask, enter, listen, Refused, tabName } from "./ask";
import { Begin } from "./begin";
import { Change } from "./change";
import type { Axis } from "./cut";
import { el, fill, find } from "./dom";
import { Files } from "./files";
import { glimpse } from "./glimpse";
import { button } from "./hand";
import { Play } from "./play";
import { Printer } from "./printer";
import { View } from "./scene";
import { unpack } from "./shape";
import { type Show, writePictures, writeProof } from "./sheet";
import { Solve } from "./solve";
import { wides } from "./wide";
import { Workshop } from "./workshop";
import type { Bench, Proof, Pose, ProofAsked, ParamValue, Stage, Started, WireEvent } from "./wire";

class Page {
  private readonly tab = tabName();
  private bench: Bench | null = null;
  private design = "";
  private stage: Stage | null = null;
  private proof: Proof | null = null;
  private job = "";
  private view: View | null = null;
  private play: Play | null = null;
  private readonly change: Change;
  private readonly workshop = new Workshop();
  private readonly files: Files;
  private readonly printer = new Printer(() => {
    if (this.bench) this.change.printers(this.bench.printers, this.printer.meant);
    void this.prove(this.change.settings());
  });
  private readonly begin = new Begin((name) => this.begun(name));
  private readonly meshes = new Map<string, BufferGeometry>();
  private showing = "";

  constructor() {
    this.change = new Change({ prove: (set) => void this.prove(set), stale: () => this.stale(true), design: () => this.design, tab: () => this.tab });
    this.files = new Files({ cut: () => this.cutNow, found: (g) => this.workshop.found(g) });
  }

  private cutNow: { axis: string; at: number } | null = null;

  async open(): Promise<void> {
    wides(find("sheet"));
    try {
      await enter();
      this.bench = await ask<Bench>("GET", "/api/bench");
    } catch (e) {
      this.state(e instanceof Refused ? e.message : "The bench does not answer. Is feint bench running?", "trouble");
      fill(find("title"), "The bench is shut");
      return;
    }
    listen(this.tab, (e) => this.hear(e), (lost) => this.lost(lost));
    const picked = this.pick(this.bench.design);
    await Promise.race([this.listening, pause(250)]); // so that the question is on its way: getting ready to draw holds up all else
    this.draws();
    await picked;
  }

  /** draws makes the page ready to draw. */
  private draws(): void {
    try {
      this.view = new View(find("view"));
      this.play = new Play(this.view);
      new Solve(this.play);
    } catch {
      fill(find("view"), el("p", { class: "soft" }, "This browser cannot draw in three dimensions (no WebGL). The storyboard on the sheet shows the box."));
    }
    this.view?.canvas.setAttribute("tabindex", "0");
    this.view?.canvas.setAttribute("role", "application");
    this.view?.canvas.setAttribute("aria-label", "The box in three dimensions. Arrow keys move the part in hand; the controls below do the same.");
    this.tools();
  }

  /** pick opens a design of the workshop. */
  private async pick(name: string): Promise<void> {
    this.design = name;
    this.stage = null;
    this.proof = null;
    document.body.dataset["empty"] = name ? "" : "1";
    this.begin.show(!name);
    if (!name) {
      fill(find("title"), "No design yet");
      this.state(`There is no design in the folder ${this.bench?.folder}. Begin one here; or put one there, and it opens here by itself.`, "quiet");
      return;
    }
    this.names();
    if (this.bench) this.printers(this.bench);
    const read = this.change.open(this.bench?.folder ?? "");
    await Promise.all([this.prove(this.change.settings(), read), read]);
  }

  /** begun opens a design that was made here, unless the page has found it by itself. */
  private async begun(name: string): Promise<void> {
    this.bench = await ask<Bench>("GET", "/api/bench");
    if (this.design !== name) {
      this.state("");
      await this.pick(name);
    }
    window.scrollTo({ top: 0 });
    find("sheet").focus({ preventScroll: true }); // the form is gone, or far below
  }

  /** prove asks for the proof; what comes of it is taken up when the design's text has been read. */
  private async prove(set: ParamValue[], read?: Promise<void>): Promise<void> {
    if (!this.bench) return;
    this.stale(true);
    this.asking++;
    await this.listening; // what is told before is lost
    try {
      const s = await ask<Started>("POST", "/api/proofs", { tab: this.tab, design: this.design, set, growth: this.bench.growth, on: this.printer.on, drawing: !this.stage } satisfies ProofAsked);
      this.job = s.proof;
      await read?.catch(() => undefined);
    } catch (e) {
      if (e instanceof Refused) this.state(e.message, "trouble");
      else if (!(e instanceof TypeError)) throw e; // the program is shut: it is asked again when it is back
    } finally {
      this.asking--;
    }
    // what came before the name of the proof was known
    this.waiting.unshift(...this.early.splice(0));
    void this.pump();
  }

  private asking = 0;
  private early: WireEvent[] = [];
  private readonly waiting: WireEvent[] = [];
  private pumping = false;

  /** hear takes an event up after those before it are done with: a stage takes its time to be built. */
  private hear(e: WireEvent): void {
    this.waiting.push(e);
    void this.pump();
  }

  private async pump(): Promise<void> {
    if (this.pumping) return;
    this.pumping = true;
    try {
      for (let e = this.waiting.shift(); e; e = this.waiting.shift()) await this.heard(e);
    } finally {
      this.pumping = false;
      if (this.waiting.length > 0) void this.pump(); // one that failed does not hold up the others
    }
  }

  /** stale greys the answer that is there until the new one comes. */
  private stale(is: boolean): void {
    document.body.dataset["stale"] = is ? "1" : "";
    if (!is) return;
    document.body.dataset["pictures"] = document.body.dataset["limits"] = "old";
    this.play?.waits();
    this.working("Beginning", 0, 0);
  }

  private working(step: string, done: number, total: number): void {
    const old = document.body.dataset["stale"] ? (this.proof ? "What is greyed is the old answer. " : "") : this.proof?.asked ? `The verdict stands; the fit window follows. ${this.whole ? "What is greyed is old. " : ""}` : "The verdict stands; the findings follow. ";
    const bar = total > 0 ? el("progress", { max: total, value: done, "aria-label": "How far it is" }) : el("progress", { "aria-label": "How far it is" });
    const s = find("state");
    s.className = "working";
    if (s.querySelector("#stop")) {
      fill(s.querySelector("p") as Element, `${old}Working it out: ${step}${total > 1 ? `, ${done} of ${total}` : ""}. `);
      s.querySelector("progress")?.replaceWith(bar);
      return;
    }
    // the button comes first: it must not move under the pointer as the words change
    fill(s, button("stop", "Stop", () => void this.stop()), el("p", {}, `${old}Working it out: ${step}. `), bar);
  }

  private async stop(): Promise<void> {
    await ask("DELETE", `/api/proofs/${this.job}?tab=${this.tab}`);
  }

  private state(words: string, kind = "", ...more: HTMLElement[]): void {
    const s = find("state");
    s.className = kind;
    fill(s, words ? el("p", {}, words) : null, ...more);
  }

  private lost(is: boolean): void {
    document.body.dataset["lost"] = is ? "1" : "";
    if (is) this.state("The program does not answer. The page waits for it; nothing on the page is lost.", "trouble");
  }

  private start = "";
  private greeted: () => void = () => undefined;
  private readonly listening = new Promise<void>((done) => { this.greeted = done; });

  private async heard(e: WireEvent): Promise<void> {
    if (e.kind === "hello") {
      const first = this.start === "";
      const anew = !first && this.start !== e.start;
      this.start = e.start ?? "";
      this.greeted();
      if (!first) await this.returned(anew);
      return;
    }
    if (e.kind === "file" && e.file?.design === this.design) {
      if (!e.file.others && this.change.holds(e.file.sha256)) return; // saved from here
      await this.change.seen(e.file.sha256);
      await this.prove(this.change.settings());
      return;
    }
    if (e.kind === "logbook") return this.workshop.read();
    if (e.kind === "printers" || e.kind === "designs") return this.around();
    if (e.kind === "yield") return this.change.foretold(e);
    if (this.asking > 0) {
      this.early.push(e);
      return;
    }
    if (e.proof !== this.job) return;
    switch (e.kind) {
      case "stage": if (e.stage) await this.build(e.stage); break;
      case "progress": if (document.body.dataset["stale"] || this.proof?.partial) this.working(e.step ?? "", e.done ?? 0, e.total ?? 0); break;
      case "proved": if (e.result) this.proved(e.result); break;
      case "pictures": await this.pictures(); break;
      case "stopped": this.stopped(); break;
      case "failed":
        if (!this.stage && this.change.forget()) return this.prove([]); // what was set before it was loaded anew is no param any more
        void this.play?.measure();
        this.change.mistakes(e.trouble?.problems ?? []);
        this.state(`${e.trouble?.message ?? "It failed."}${this.old()}`, "trouble", ...(e.trouble?.problems.length ? [button("to-mistakes", "Go to them", () => this.change.toMistakes())] : []));
        break;
      default:
    }
  }

  /** returned asks for what was missed while the program, or the way to it, was gone. */
  private async returned(anew: boolean): Promise<void> {
    if (!document.body.dataset["stale"]) this.state("");
    try {
      const b = await ask<Bench>("GET", "/api/bench");
      this.bench = b;
      const other = this.printers(b);
      this.names();
      const changed = this.design !== "" && (await this.change.seen("?"));
      void this.workshop.read();
      if (this.design && (anew || changed || other || document.body.dataset["stale"])) await this.prove(this.change.settings());
    } catch (e) {
      if (e instanceof Refused) this.state(e.message, "trouble");
      else if (!(e instanceof TypeError)) throw e; // gone again; it is asked again when it is back
    }
  }

  /** around reads anew what lies about the design in the workshop: other designs, printers. */
  private async around(): Promise<void> {
    this.bench = await ask<Bench>("GET", "/api/bench");
    const first = this.bench.designs[0];
    if (!this.design && first) {
      this.state("");
      return this.pick(first);
    }
    const other = this.printers(this.bench);
    void this.workshop.read();
    this.names();
    if (other && this.design) await this.prove(this.change.settings());
    else if (this.proof) {
      this.change.proved(this.proof);
      await this.pictures();
    }
  }

  /** printers takes up the settings of the workshop; true if the verdict is for something else now. */
  private printers(b: Bench): boolean {
    const other = this.printer.around(b);
    this.change.printers(b.printers, this.printer.meant);
    this.files.printersAre(b.printers);
    return other;
  }

  private names(): void {
    const others = this.bench?.designs ?? [];
    const choose = el("select", { id: "designs", "aria-label": "Design", change: (e: Event) => void this.pick((e.target as HTMLSelectElement).value) },
      ...others.map((d) => el("option", { value: d, selected: d === this.design }, d)));
    fill(find("where"), `${this.bench?.folder} / `, others.length > 1 ? choose : this.design);
  }

  /** old says what is still to be read where the new answer did not come. */
  private old(): string {
    return document.body.dataset["stale"] && this.proof ? " What is greyed is the old answer." : "";
  }

  private stopped(): void {
    void this.play?.measure();
    this.state(`Stopped.${this.old()}`, "trouble", button("resume", "Prove again", () => void this.prove(this.change.settings())));
  }

  /** build puts the parts on the stage. */
  private async build(s: Stage): Promise<void> {
    if (s.id === this.showing && this.stage) {
      this.stage = s;
      return;
    }
    this.showing = s.id;
    const same = this.stage?.design === s.design && this.stage.parts.length === s.parts.length;
    await Promise.all(s.parts.map(async (p) => {
      if (this.meshes.has(p.mesh)) return;
      const res = await fetch(`/api/meshes/${p.mesh}`);
      if (res.ok) this.meshes.set(p.mesh, unpack(await res.arrayBuffer()));
    }));
    if (this.showing !== s.id) return;
    for (const name of this.meshes.keys()) if (!s.parts.some((p) => p.mesh === name)) this.meshes.delete(name);
    this.stage = s;
    document.body.dataset["built"] = "1";
    document.title = `${s.title} · feint bench`;
    fill(find("title"), s.title);
    this.view?.show(s, this.meshes, same);
    if (!same) this.cutOpen(s);
    this.applyCut();
    this.play?.open(s, same);
    this.parts();
    this.change.stage(s);
    this.workshop.design(s);
    this.files.of(s);
    if (same) return;
    await drawn();
    void ask("POST", `/api/proofs/${this.job}/drawn`).catch(() => undefined); // it goes on by itself, later
  }

  private proved(p: Proof): void {
    this.proof = p;
    this.stale(false);
    if (p.asked) this.working("Where it binds and leaks", 0, 0);
    else if (p.partial) this.working("Handling, forces and the print", 0, 0);
    else this.state(p.kept ? "From an earlier run on the same design." : "", "quiet");
    if (!this.stage) return;
    writeProof(this.stage, p, this.show);
    this.play?.prove(p);
    this.firstSeen(p);
    this.printer.proved(p);
    document.body.dataset["verdict"] = p.id;
    if (p.asked) return this.change.begun(p);
    document.body.dataset["limits"] = "";
    this.change.proved(p);
    if (p.partial) return;
    this.whole = true;
    this.files.proved(p);
    this.workshop.proved(p);
    document.body.dataset["proved"] = p.id;
  }

  /** pictures draws what belongs to the proof; until then the old drawings are greyed. */
  private async pictures(): Promise<void> {
    const p = this.proof;
    if (!p) return;
    const all = await writePictures(p.id, this.show);
    if (this.proof?.id === p.id) document.body.dataset["pictures"] = all ? "" : "some";
  }

  private whole = false; // a whole proof has been shown
  private opened = ""; // the design of which the first move has been brought in sight

  /** firstSeen takes the part of the first move in hand, leaves it whole if the cut would take it out of the first picture, and shows the move once. */
  private firstSeen(p: Proof): void {
    const first = this.stage?.parts.findIndex((k) => k.name === p.document.solution[0]?.part) ?? -1;
    if (this.opened === this.design || !this.view || first < 0) return;
    this.opened = this.design;
    if (this.play && this.play.made.length === 0 && this.play.chosen === this.play.movable()[0] && this.play.byHand(first).length > 0) this.play.choose(first);
    if (this.view.cutAway(first)) {
      this.view.setWhole(first, true);
      this.parts();
    }
    const move = p.document.solution[0];
    if (this.play && move && p.way[0]) void glimpse(this.play, p.way[0].frames, `The first move, only shown: ${move.part}, ${move.words.join(", then ")}.`);
  }

  /** show brings the stage, or a slider, to what the sheet speaks of. */
  private readonly show: Show = {
    place: (q) => this.show.pose(this.poseOf(q)),
    pose: (p) => {
      this.view?.mark(null);
      void this.play?.stand(p);
      find("box").scrollIntoView({ block: "nearest" });
    },
    mark: (parts, at, config = null) => {
      const part = this.stage?.parts.findIndex((k) => parts.includes(k.name) && k.travels.length > 0) ?? -1;
      if (part >= 0) this.play?.choose(part);
      this.view?.mark(at);
      this.pickOut(parts);
      const words = [parts.length > 0 ? `It is about ${listed(parts)}.` : "", at ? `The ring marks the place: ${at.map((v, i) => `${"xyz"[i]} ${v.toFixed(1)}`).join(", ")} mm.` : ""];
      if (config) void this.play?.stand(this.poseOf(config), words.join(" ").trim());
      else this.play?.say(words.join(" ").trim());
      find("box").scrollIntoView({ block: "nearest" });
    },
    param: (name) => this.change.focus(name),
  };

  /** poseOf is a configuration as a pose: the box as it is handed over, every tool in its first place. */
  private poseOf(config: number[]): Pose {
    return { config, up: 0, tools: this.stage?.tools.map(() => 0) ?? [], words: "" };
  }

  /** pickOut lets the parts that are spoken of stand out until something else is done. */
  private pickOut(parts: string[]): void {
    const v = this.view;
    const s = this.stage;
    if (!v || !s) return;
    v.pickOut(s.parts.flatMap((p, i) => (parts.includes(p.name) ? [i] : [])));
    const over = () => {
      for (const kind of ["pointerdown", "keydown"]) removeEventListener(kind, over, true);
      v.pickOut(null);
    };
    for (const kind of ["pointerdown", "keydown"]) addEventListener(kind, over, true);
  }

  /** tools are the controls of the picture. */
  private tools(): void {
    const v = this.view;
    if (!v) return;
    const on = el("input", { type: "checkbox", id: "cut-on", checked: true, change: () => this.applyCut() });
    const axis = el("select", { id: "cut-axis", "aria-label": "The cut runs across", change: () => this.applyCut() },
      ...["y", "x", "z"].map((a) => el("option", { value: a }, `across ${a}`)));
    const at = el("input", { type: "range", id: "cut-at", min: 0, max: 1, step: 0.001, value: 0.5, "aria-label": "Place of the cut", input: () => this.applyCut() });
    v.section.moved = (share) => {
      at.value = String(share);
      this.applyCut();
    };
    v.turn = () => this.applyCut();
    const apart = el("input", { type: "range", id: "apart", min: 0, max: 1, step: 0.01, value: 0, input: (e: Event) => v.setApart(Number((e.target as HTMLInputElement).value)) });
    const ghost = el("input", { type: "checkbox", id: "ghost", change: (e: Event) => v.setGhost((e.target as HTMLInputElement).checked) });
    const look = (id: string, sign: string, words: string, a: number, b: number) => el("button", { type: "button", id, "aria-label": words, title: words, click: () => v.orbit(a, b) }, sign);
    fill(find("tools"),
      el("div", { class: "row" }, el("span", { class: "pick" }, on, el("label", { for: "cut-on" }, "Cut")), axis, at, el("output", { id: "cut-place", for: "cut-at" })),
      el("div", { class: "row" }, el("label", { for: "apart" }, "Apart"), apart, el("span", { class: "pick" }, ghost, el("label", { for: "ghost" }, "See through the frame"))),
      el("div", { class: "row", role: "group", "aria-label": "Point of view" },
        look("view-left", "◀", "Turn the view left", -15, 0), look("view-right", "▶", "Turn the view right", 15, 0), look("view-up", "▲", "Look from higher", 0, 12), look("view-down", "▼", "Look from lower", 0, -12),
        button("fit-view", "Whole box", () => v.look())),
      el("details", {}, el("summary", {}, "Left whole by the cut"), el("div", { id: "whole-parts", class: "row" })));
  }

  private parts(): void {
    const holder = document.getElementById("whole-parts");
    if (!holder || !this.stage) return;
    fill(holder, ...this.stage.parts.map((p, i) => el("span", { class: "pick" },
      el("input", { type: "checkbox", id: `whole-${i}`, checked: this.view?.isWhole(i) ?? false, change: (e: Event) => this.view?.setWhole(i, (e.target as HTMLInputElement).checked) }),
      el("label", { for: `whole-${i}` }, p.name))));
  }

  /** cutOpen lays the cut where the storyboard has it, so that the parts are seen. */
  private cutOpen(s: Stage): void {
    const { axis, at_mm, whole } = s.opening;
    const k = "xyz".indexOf(axis);
    const lo = s.box_mm[0][k] ?? 0;
    const range = (s.box_mm[1][k] ?? 0) - lo;
    const e = document.getElementById("cut-axis") as HTMLSelectElement | null;
    if (!e || !this.view || range <= 0) return;
    e.value = axis;
    find<HTMLInputElement>("cut-at").value = String((at_mm - lo) / range);
    s.parts.forEach((_, i) => this.view?.setWhole(i, whole.includes(i)));
  }

  private applyCut(): void {
    const on = document.getElementById("cut-on") as HTMLInputElement | null;
    if (!on || !this.view) return;
    const axis = find<HTMLSelectElement>("cut-axis").value as Axis;
    const at = this.view.cut(on.checked, axis, Number(find<HTMLInputElement>("cut-at").value));
    this.cutNow = on.checked ? { axis, at } : null;
    fill(find("cut-place"), on.checked ? `${axis} = ${at.toFixed(1)} mm` : "");
  }
}

const listed = (names: string[]): string => (names.length < 2 ? names.join("") : `${names.slice(0, -1).join(", ")} and ${names.at(-1)}`);

const pause = (ms: number): Promise<void> => new Promise((done) => setTimeout(done, ms));

/** drawn waits until a picture that was asked for is drawn, so that it does not wait for what is written meanwhile; hidden pages draw none. */
const drawn = (): Promise<void> => new Promise((done) => {
  setTimeout(done, 250);
  if (!document.hidden) requestAnimationFrame(() => setTimeout(done, 0));
});

window.addEventListener("unhandledrejection", (e) => {
  const words = e.reason instanceof Error ? e.reason.message : String(e.reason);
  find("state").className = "trouble";
  fill(find("state"), el("p", {}, `Something went wrong on the page: ${words}`));
});

void new Page().open();
