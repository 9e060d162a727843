// The keys of the picture.
import type { Play } from "./play";

/** keys lets the keyboard move the part in hand and turn the box. */
export function keys(play: Play): void {
  play.view.canvas.addEventListener("keydown", (e) => {
    if (!play.stage || e.ctrlKey || e.metaKey || e.altKey) return;
    if (act(play, e)) e.preventDefault();
  });
}

function act(play: Play, e: KeyboardEvent): boolean {
  const parts = play.movable();
  const choose = (by: number) => play.choose(parts[(parts.indexOf(play.chosen) + by + parts.length) % parts.length] ?? -1);
  const travels = play.byHand(play.chosen);
  const push = (i: number, sign: number) => {
    const t = travels[Math.min(i, travels.length - 1)];
    if (t !== undefined) void play.nudge(t, sign, e.shiftKey);
  };
  switch (e.key) {
    case "n": choose(1); return true;
    case "p": choose(-1); return true;
    case "ArrowRight": push(0, 1); return true;
    case "ArrowLeft": push(0, -1); return true;
    case "ArrowUp": push(1, 1); return true;
    case "ArrowDown": push(1, -1); return true;
    case "Backspace": void play.back(); return true;
    case "Home": void play.again(); return true;
    default:
  }
  const to = /^[1-9]$/.test(e.key) ? Number(e.key) - 1 : -1;
  if (to < 0 || !play.stage?.directed || !play.stage.ups[to]) return false;
  if (play.stage.ups[play.now?.up ?? 0]?.near.includes(to)) void play.turn(to);
  else if (to !== play.now?.up) play.say("One turn does not lead there: turn the box to a side between.");
  return true;
}
